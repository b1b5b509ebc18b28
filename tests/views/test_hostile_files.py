"""Files that mean harm: names with markup, drawings that run, and who may fetch calendars, papers, letters.

Outside check of the first: the names and drawings are those of the OWASP cheat sheets on file upload and on
cross-site scripting (from memory).
"""

import io
import re
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image

from inventory.actions import artwork, recalls
from inventory.models import Artwork, Paper
from inventory.queries import things
from tests.returns import TIP, Bench
from tests.views import whole_shop

pytestmark = pytest.mark.django_db
NAMES = (
    '"><svg onload=alert(1)>.png',
    "<script>alert(1)</script>.png",
    "x\r\nSet-Cookie: a=b.png",
    "../../x.png",
)
DRAWING = b"""<?xml version="1.0"?><!DOCTYPE svg [<!ENTITY e SYSTEM "file:///etc/passwd">]>
<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"><script>alert(1)</script><text>&e;</text></svg>"""


@pytest.fixture
def whole(shop, settings, tmp_path):
    settings.DATA_FOLDER = tmp_path
    found = whole_shop.fill(shop)
    shop.do(artwork.plan_artwork, pair=found.pair, printer_days=14, bleed_mm=5)
    return found


def picture() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (1850, 140)).save(out, "PNG", dpi=(25, 25))
    return out.getvalue()


def harm(markup: str) -> list[str]:
    """What of it would run."""
    return re.findall(r"<svg[^>]*onload[^>]*>|<script>alert|file:///etc", markup)


def test_harm_is_found_where_there_is_some():
    """The check itself fails on what is wrong, and not on a name that is written out."""
    assert harm(f'<p title="{NAMES[0]}">')
    assert harm(NAMES[1])
    assert harm("&lt;script&gt;alert(1)") == []


@pytest.mark.parametrize("name", NAMES)
def test_artwork_and_paper_with_a_hostile_name_are_kept_and_no_page_runs_it(whole, client, name):
    """The file is a good one: it is kept; its name names no download, and is text where it is shown."""
    whole.sign_in(client, "crew")
    (code,) = things.codes_of([whole.pair])
    upload = SimpleUploadedFile("x.png", picture(), "image/png")
    upload._name = name  # what a client may send that follows no rule
    assert client.post(f"/artwork/{code}/attach/", {"file": upload}).status_code == 302
    saved = client.get(f"/artwork/{code}/file/")
    assert saved["Content-Disposition"] == f'attachment; filename="{code[:4]}-{code[4:]}.png"'
    assert saved["X-Content-Type-Options"] == "nosniff"
    assert saved["Content-Security-Policy"] == "sandbox"
    about = whole.values["about"][0]
    paper = {"what": "other", "title": name, "file": SimpleUploadedFile("y.png", picture(), "image/png")}
    assert client.post(f"/papers/{about}/attach/", paper).status_code == 302
    kept = Paper.objects.get()
    shown = client.get(f"/papers/{kept.id}/show/")
    assert shown["Content-Disposition"].startswith("attachment")
    assert "\n" not in shown["Content-Disposition"]
    assert "Set-Cookie" not in shown
    pages = (
        f"/artwork/{code}/path/",
        f"/builds/{code}/card/",
        f"/thing/{code}/",
        f"/suppliers/{about}/card/",
    )
    for page in pages:
        assert harm(client.get(page, follow=True).content.decode()) == [], page


@pytest.mark.parametrize("media", ["image/svg+xml", "image/png", "text/html"])
def test_drawing_that_runs_is_refused_whatever_it_is_called_and_a_picture_is_kept(whole, client, media):
    """Only JPEG and PNG are artwork, by their content; nothing of the drawing comes back in the answer."""
    whole.sign_in(client, "crew")
    (code,) = things.codes_of([whole.pair])
    about = whole.values["about"][0]
    for page, more in ((f"/artwork/{code}/attach/", {}), (f"/papers/{about}/attach/", {"what": "other"})):
        answer = client.post(page, {"file": SimpleUploadedFile("a.png", DRAWING, media), **more})
        assert answer.status_code in (409, 422), page
        assert harm(answer.content.decode()) == []
    assert not Artwork.objects.exclude(sha256="").exists()
    assert not Paper.objects.exists()
    good = SimpleUploadedFile("a.png", picture(), "image/png")
    assert client.post(f"/artwork/{code}/attach/", {"file": good}).status_code == 302
    assert Artwork.objects.exclude(sha256="").count() == 1


def documents(whole) -> list[tuple[str, str, bytes]]:
    """Address, lowest role, and what the document begins with or holds."""
    season, order = whole.values["season"][0], whole.values["order"][0]
    bench = Bench(whole.shop)
    bench.pair("TH-2466", guest="Kari Lund")
    values = {"roots": [bench.jug("TH-2466")], "name": "One jug", "failure": TIP, "reason": "tips part"}
    recall = whole.shop.do(recalls.open_recall, **values).things[-1]
    return [
        ("/trips/calendar/", "helper", b"BEGIN:VCALENDAR"),
        (f"/season/{season}/calendar/", "crew", b"BEGIN:VCALENDAR"),
        (f"/orders/{order}/paper/", "crew", b"%PDF-"),
        (f"/recalls/{recall}/letters/", "crew", b"Kari Lund"),
        (f"/recalls/{recall}/paper/", "crew", b"Kari Lund"),
    ]


def test_calendars_papers_and_letters_are_given_to_who_may_and_to_nobody_below(whole, client):
    """A stranger is sent to sign in; a helper gets the trips' days only, and no price and no owner's name."""
    roles = ["stranger", "helper", "crew", "owner"]
    whole.shop.at = timezone.now() - timedelta(minutes=5)
    for address, lowest, mark in documents(whole):
        for role in roles:
            whole.sign_in(client, role)
            answer = client.get(address)
            if roles.index(role) >= roles.index(lowest):
                assert answer.status_code == 200, (address, role)
                assert mark in answer.content, (address, role)
            else:
                assert answer.status_code == (302 if role == "stranger" else 403), (address, role)
                assert mark not in answer.content, (address, role)
