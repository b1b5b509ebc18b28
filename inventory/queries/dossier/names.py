"""READ what things are called and what their labels say, many at a time. Knows the cards, no genealogy."""

from collections.abc import Iterable
from uuid import UUID

from inventory.compute.codes import Code, Kind
from inventory.models import Equipment, Line, Lot, Package, Pair, Person, Place, Ski, Thing
from inventory.models.people import NO_LONGER_HERE
from inventory.queries import cutting
from inventory.queries.dossier.facts import Label, Named
from inventory.queries.ledger import chunks, codes_of


def named(things: Iterable[UUID]) -> dict[UUID, Named]:
    """These things as a sentence mentions them: the same few statements however many there are."""
    found: dict[UUID, Named] = {}
    for part in chunks(dict.fromkeys(things)):
        names = _names(part)
        codes = {thing: Code(code).shown for thing, code in codes_of(part).items()}
        for id, kind in Thing.objects.filter(id__in=part).values_list("id", "kind"):
            found[id] = Named(id, Kind(kind), codes.get(id, ""), names.get(id, ""))
    return found


def _names(things: list[UUID]) -> dict[UUID, str]:
    found: dict[UUID, str] = {}
    for model in (Place, Equipment):
        found.update(model._default_manager.filter(thing_id__in=things).values_list("thing_id", "name"))
    found.update(Package.objects.filter(thing_id__in=things).values_list("thing_id", "lot__material__name"))
    found.update(Lot.objects.filter(thing_id__in=things).values_list("thing_id", "material__name"))
    found.update(Ski.objects.filter(thing_id__in=things).values_list("thing_id", "side"))
    for thing, length in Pair.objects.filter(thing_id__in=things).values_list("thing_id", "length_mm"):
        found[thing] = f"{length} mm"
    found.update((row.thing, row.name) for row in cutting.made(things).values())
    return found


def labels(things: Iterable[UUID]) -> dict[UUID, Label]:
    """The labels of those of these things that are lots or packages."""
    found: dict[UUID, Label] = {}
    for part in chunks(dict.fromkeys(things)):
        for lot in Lot.objects.filter(thing_id__in=part).select_related("material", "supplier"):
            found[lot.thing_id] = _label(lot)
        rows = Package.objects.filter(thing_id__in=part).select_related("lot__material", "lot__supplier")
        for package in rows:
            found[package.thing_id] = _label(package.lot, package)
    return found


def _label(lot: Lot, package: Package | None = None) -> Label:
    expires = package.expires_on if package and package.expires_on else lot.expires_on
    return Label(
        material=lot.material.name,
        purpose=lot.material.purpose,
        number=lot.number,
        supplier=lot.supplier.name if lot.supplier else "",
        made_on=lot.made_on,
        expires_on=expires,
    )


def with_owner_all_the_same() -> dict[UUID, UUID]:
    """Skis that one laptop took out of their pair while another handed it over, and that pair."""
    rows = Ski.objects.filter(was_of__isnull=False)
    out = {row.thing_id: row.was_of_id for row in rows if row.was_of_id}
    if not out:
        return {}
    over = Line.objects.filter(thing_id__in=list(out), event__step="handed over", event__skipped__isnull=True)
    return {ski: out[ski] for ski in over.values_list("thing_id", flat=True)}


def pairs_of(skis: Iterable[UUID]) -> dict[UUID, UUID]:
    """The pair of each of these things that is a ski."""
    wanted = dict.fromkeys(skis)
    found = {ski: pair for ski, pair in with_owner_all_the_same().items() if ski in wanted}
    for part in chunks(wanted):
        rows = Ski.objects.filter(thing_id__in=part, pair__isnull=False)
        found.update((ski, pair) for ski, pair in rows.values_list("thing_id", "pair_id") if pair)
    return found


def people(ids: Iterable[UUID | None]) -> dict[UUID, str]:
    """Names of people of the crew, also of who was erased: that they are no longer here."""
    wanted = [id for id in dict.fromkeys(ids) if id is not None]
    return {
        id: name or str(NO_LONGER_HERE)
        for part in chunks(wanted)
        for id, name in Person.objects.filter(id__in=part).values_list("id", "name")
    }
