"""Settings of the shop, all in one file. What differs between installations comes from the environment.

`SHOP_DATA`     the data folder (default: the user's own data folder)
`DATABASE_URL`  a PostgreSQL address; empty means the SQLite file in the data folder
`SHOP_HTTPS`    1 when served over HTTPS
`SHOP_TIME_ZONE` the time zone of this laptop's days, whatever the shop's card says
"""

import os
import secrets
from pathlib import Path

import dj_database_url

from shop import folder

BASE_DIR = Path(__file__).resolve().parent.parent


def _secret(data: Path) -> str:
    """This installation's signing secret, made the first time."""
    path = data / "secret"
    try:
        return path.read_text()
    except FileNotFoundError:
        data.mkdir(mode=0o700, parents=True, exist_ok=True)
    made = secrets.token_urlsafe(50)
    try:
        file = os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w")
    except FileExistsError:  # another process was first
        return path.read_text()
    try:
        with file:
            file.write(made)
    except OSError:  # no room: an empty secret would be found the next time
        path.unlink()
        raise
    return made


DATA_FOLDER = folder.asked()
HTTPS = os.environ.get("SHOP_HTTPS", "") == "1"

SECRET_KEY = _secret(DATA_FOLDER)
DEBUG = False
ALLOWED_HOSTS = ["*"]  # reached by whatever name or address the laptop has that day
INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "axes",
    "csp",
    "django_filters",
    "django_tables2",
    "inventory.apps.InventoryConfig",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "inventory.views.frame.Frame",
    "axes.middleware.AxesMiddleware",
]
ROOT_URLCONF = "shop.urls"
WSGI_APPLICATION = "shop.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "inventory.views.frame.frame",
            ],
            "builtins": ["inventory.templatetags.parts"],
        },
    }
]

DATABASES = {
    "default": dj_database_url.parse(
        os.environ.get("DATABASE_URL", "") or f"sqlite:///{DATA_FOLDER / 'shop.sqlite3'}", conn_max_age=60
    )
}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    DATABASES["default"]["CONN_MAX_AGE"] = 0
    DATABASES["default"]["OPTIONS"] = {
        "timeout": 20,
        "transaction_mode": "IMMEDIATE",  # default settings: hundreds of lock errors in 4,000 writes
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA recursive_triggers=ON;",
    }
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTHENTICATION_BACKENDS = ["axes.backends.AxesStandaloneBackend", "django.contrib.auth.backends.ModelBackend"]
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = 0.25  # hours
AXES_VERBOSE = False
LOGIN_URL = "people-sign-in"
LOGIN_REDIRECT_URL = "day"
LOGOUT_REDIRECT_URL = "people-sign-in"
SESSION_COOKIE_AGE = 12 * 60 * 60
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "inventory.forms.own_words.LongEnough",
        "OPTIONS": {"min_length": 10},
    },
    {"NAME": "inventory.forms.own_words.NotCommon"},
]

LANGUAGE_CODE = "en"
_TRANSLATED = sorted(
    BASE_DIR.glob("inventory/locale/*/LC_MESSAGES")
)  # else browsers get half-translated pages
LANGUAGES = [("en", "English"), *((path.parent.name.replace("_", "-").lower(),) * 2 for path in _TRANSLATED)]
USE_TZ = True
SHOP_TIME_ZONE = os.environ.get("SHOP_TIME_ZONE", "")
COMPUTER_TIME_ZONE = os.environ.get("TZ", "")  # read before Django sets it to TIME_ZONE
TIME_ZONE = SHOP_TIME_ZONE or "Europe/Oslo"
STATIC_URL = "/static/"
WHITENOISE_USE_FINDERS = True
DATA_UPLOAD_MAX_MEMORY_SIZE = 12 * 1024 * 1024

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": ["'none'"],
        "script-src": ["'self'"],
        "style-src": ["'self'"],
        "connect-src": ["'self'"],
        "form-action": ["'self'"],
        "font-src": ["'self'"],
        "img-src": ["'self'", "blob:", "data:"],
        "media-src": ["'self'", "blob:"],
        "manifest-src": ["'self'"],
        "base-uri": ["'none'"],
        "frame-ancestors": ["'none'"],
    }
}
X_FRAME_OPTIONS = "DENY"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin" if HTTPS else None  # browsers log an error over plain HTTP
SESSION_COOKIE_SECURE = HTTPS
CSRF_COOKIE_SECURE = HTTPS
SECURE_HSTS_SECONDS = 3600 if HTTPS else 0
SILENCED_SYSTEM_CHECKS = [
    "security.W004",  # HSTS: a trailer's own address is served over plain HTTP unless SHOP_HTTPS=1
    "security.W005",  # no subdomains of ours
    "security.W008",  # no redirect: there may be no HTTPS to go to
    "security.W012",  # Secure cookies break sign-in over plain HTTP; on with SHOP_HTTPS=1
    "security.W016",  # the same for the CSRF cookie
    "security.W021",  # no preload list for a laptop
]
