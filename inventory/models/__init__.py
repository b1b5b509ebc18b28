"""Tables and constraints; what one row knows about itself, nothing else.

Import from here: `from inventory.models import Event`. Inside, `ledger` and `derived` know no topic.
"""

from inventory.models.builds import Artwork, BuildStep, LayupCard, Pair, Seat, Ski, Workshop
from inventory.models.derived import Balance, Disagreement, Hold, Skipped, State, Tag
from inventory.models.ledger import Act, Event, Line, Machine, Note, Revision, Tagging, Thing
from inventory.models.people import Guest, OwnerCode, Person, SignIn
from inventory.models.places import Place, Trailer, Zone
from inventory.models.press import Equipment, Inspection
from inventory.models.road import Logger, TripRecord, UsageFactor
from inventory.models.scans import ScanFailed
from inventory.models.season import Order, OrderLine, Ruling, Season
from inventory.models.shop import Shop
from inventory.models.skis_back import MockRecall, Recall, Told, WarrantyTerms
from inventory.models.stock import Lot, Material, Offer, Package, Paper, Supplier
from inventory.models.trips import Listed, TowCar, Trip

__all__ = [
    "Act",
    "Artwork",
    "Balance",
    "BuildStep",
    "Disagreement",
    "Equipment",
    "Event",
    "Guest",
    "Hold",
    "Inspection",
    "LayupCard",
    "Line",
    "Listed",
    "Logger",
    "Lot",
    "Machine",
    "Material",
    "MockRecall",
    "Note",
    "Offer",
    "Order",
    "OrderLine",
    "OwnerCode",
    "Package",
    "Pair",
    "Paper",
    "Person",
    "Place",
    "Recall",
    "Revision",
    "Ruling",
    "ScanFailed",
    "Season",
    "Seat",
    "Shop",
    "SignIn",
    "Ski",
    "Skipped",
    "State",
    "Supplier",
    "Tag",
    "Tagging",
    "Thing",
    "Told",
    "TowCar",
    "Trailer",
    "Trip",
    "TripRecord",
    "UsageFactor",
    "WarrantyTerms",
    "Workshop",
    "Zone",
]
