"""Which tables are cards: edited in place, every edit a revision. A person's cards keep no values there."""

from django.db.models import Model

from inventory.models.builds import Pair, Ski, Workshop
from inventory.models.people import Guest, Person
from inventory.models.places import Place
from inventory.models.press import Equipment
from inventory.models.shop import Shop
from inventory.models.stock import Lot, Material, Package, Supplier

CARDS: dict[str, type[Model]] = {
    "shop": Shop,
    "person": Person,
    "guest": Guest,
    "place": Place,
    "supplier": Supplier,
    "material": Material,
    "lot": Lot,
    "package": Package,
    "equipment": Equipment,
    "workshop": Workshop,
    "pair": Pair,
    "ski": Ski,
}
PRIVATE = frozenset({"person", "guest"})
NAMES: dict[type[Model], str] = {model: name for name, model in CARDS.items()}
