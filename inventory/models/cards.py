"""Which tables are cards: edited in place, every edit a revision. A person's cards keep no values there."""

import datetime as dt
from typing import Any
from uuid import UUID

from django.db.models import Model

from inventory.models.builds import Artwork, BuildStep, LayupCard, Pair, Seat, Ski, Workshop
from inventory.models.people import Guest, OwnerCode, Person
from inventory.models.places import Place, Trailer, Zone
from inventory.models.press import Equipment, Inspection
from inventory.models.road import Logger, TripRecord, UsageFactor
from inventory.models.season import Order, OrderLine, Ruling, Season
from inventory.models.shop import Shop
from inventory.models.skis_back import MockRecall, Recall, Told, WarrantyTerms
from inventory.models.stock import Lot, Material, Offer, Package, Paper, Supplier
from inventory.models.trips import Listed, TowCar, Trip

CARDS: dict[str, type[Model]] = {
    "shop": Shop,
    "person": Person,
    "guest": Guest,
    "place": Place,
    "zone": Zone,
    "trailer": Trailer,
    "supplier": Supplier,
    "material": Material,
    "offer": Offer,
    "lot": Lot,
    "package": Package,
    "paper": Paper,
    "equipment": Equipment,
    "inspection": Inspection,
    "workshop": Workshop,
    "seat": Seat,
    "build step": BuildStep,
    "layup": LayupCard,
    "pair": Pair,
    "ski": Ski,
    "artwork": Artwork,
    "owner code": OwnerCode,
    "trip": Trip,
    "tow car": TowCar,
    "listed": Listed,
    "recall": Recall,
    "told": Told,
    "mock recall": MockRecall,
    "warranty terms": WarrantyTerms,
    "logger": Logger,
    "trip record": TripRecord,
    "usage factor": UsageFactor,
    "season": Season,
    "ruling": Ruling,
    "order": Order,
    "order line": OrderLine,
}
PRIVATE = frozenset({"person", "guest"})
NAMES: dict[type[Model], str] = {model: name for name, model in CARDS.items()}


def plain(value: object) -> Any:
    """A field's value as a revision holds it."""
    if isinstance(value, UUID | dt.date):
        return str(value)
    return value
