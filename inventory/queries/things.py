"""READ things by their codes, and places in words. Knows no topic."""

from collections.abc import Iterable
from uuid import UUID

from inventory.compute.codes import Code, Kind
from inventory.models import Equipment, Lot, Place, State, Tag
from inventory.queries import ledger
from inventory.queries.dossier import thing_of
from inventory.queries.dossier.facts import Named
from inventory.queries.dossier.names import named


def by_code(code: Code) -> Named:
    """The thing a code answers for. Refuses as `dossier.thing_of`."""
    thing = thing_of(code.text)
    return named([thing])[thing]


def codes_of(things: Iterable[UUID]) -> list[str]:
    """The codes of these things, in their order."""
    wanted = list(things)
    found = ledger.codes_of(wanted)
    return [found[thing] for thing in wanted if thing in found]


def of_codes(codes: Iterable[str]) -> list[UUID]:
    """The things of these codes, as kept; a text that is no thing's code is left out."""
    wanted = [code for code in codes if code.isalnum()]
    return list(Tag.objects.filter(code__in=wanted, thing__isnull=False).values_list("thing_id", flat=True))


def lot_code(package: UUID) -> str:
    """The code of a package's lot; nothing for what is no package."""
    lots = Lot.objects.filter(packages__thing_id=package)
    return next(iter(ledger.codes_of(lots.values_list("thing_id", flat=True)).values()), "")


def larger_places() -> set[UUID]:
    """Yards, stores, trailers and zones: what a list is narrowed to."""
    rows = Place.objects.exclude(thing__kind=Kind.BIN)
    return set(rows.values_list("thing_id", flat=True))


def called(text: str, kinds: Iterable[Kind]) -> list[Named]:
    """Places and equipment of these kinds that are called exactly so, in any case, in the order of codes."""
    wanted = text.replace("\0", "").strip()
    found: list[UUID] = []
    for model in (Place, Equipment):
        rows = model._default_manager.filter(
            name__iexact=wanted, thing__kind__in=[*kinds], thing__state__isnull=False
        )
        found += rows.values_list("thing_id", flat=True)
    return sorted((each for each in named(found).values() if each.code), key=lambda each: each.code)


def of_name(text: str, most: int = 20) -> list[Named]:
    """Places and equipment whose name has all these words, by name; none for a text without letters."""
    words = text.replace("\0", "").split()
    if not words or len(text) > 60:
        return []
    found: list[UUID] = []
    for model in (Place, Equipment):
        rows = model._default_manager.filter(thing__state__isnull=False)
        for word in words:
            rows = rows.filter(name__icontains=word)
        found += rows.order_by("name").values_list("thing_id", flat=True)[:most]
    told = [each for each in named(found).values() if each.code]
    return sorted(told, key=lambda each: (each.name.casefold(), each.code))[:most]


def place_words() -> dict[UUID, str]:
    """Every place in words, from the outside in: `Stoat, zone 2, bin 7`. A shop has a few hundred places."""
    names = dict(Place.objects.values_list("thing_id", "name"))
    inside = dict(State.objects.filter(thing_id__in=names).values_list("thing_id", "place_id"))

    def path(place: UUID) -> str:
        words: list[str] = []
        at: UUID | None = place
        while at is not None and len(words) < 6:
            words.insert(0, names.get(at, ""))
            at = inside.get(at)
        return ", ".join(filter(None, words))

    return {place: path(place) for place in names}


def lies_elsewhere(thing: UUID, place: UUID) -> str:
    """Where a thing lies by now, in words, when it was put into a place and moved on since; else nothing."""
    at = State.objects.filter(thing_id=thing).values_list("place_id", flat=True).first()
    return place_words().get(at, "") if at and at != place else ""


def places_in_words(things: Iterable[UUID]) -> dict[UUID, str]:
    """Where each of these things lies, in words; nothing of what lies nowhere known."""
    words = place_words()
    found: dict[UUID, str] = {}
    for part in ledger.chunks(dict.fromkeys(things)):
        rows = State.objects.filter(thing_id__in=part, place__isnull=False)
        for thing, place in rows.values_list("thing_id", "place_id"):
            found[thing] = words.get(place, "")
    return found
