"""WRITE the road: things loaded by scan, departure, arrival, home again, waste weighed.

Loading is the ledger's move into a trailer's zone; the list has no tick of its own. Certifies no load.
"""

from collections.abc import Mapping, Sequence
from datetime import timedelta
from uuid import UUID

from django.utils import timezone

from inventory.actions import cards
from inventory.actions.ledger import Act, happening
from inventory.actions.loading import check_free, check_goods, check_held, put_line, take_off
from inventory.actions.refusals import Entry
from inventory.compute.codes import Kind
from inventory.compute.steps import Basis
from inventory.compute.units import Amount, Base, Spoken
from inventory.errors import Refused, say
from inventory.models import Trip
from inventory.queries import aboard, home, ledger, objections, road, trip_plan
from inventory.queries.loading import vehicles
from inventory.queries.missing import missing

LATE = timedelta(minutes=10)  # a scan that waited so long was carried already
WASTE_MOST_MG = 500_000_000
LOAD_MOST_MG = 20_000_000_000
DOUBT_MOST_MG = 200_000_000  # of a scale
WASTE = ("chemical", "other")


@happening
def load(act: Act, /, *, trip: UUID, thing: UUID, to: UUID | None = None, sure: Sequence[str] = ()) -> None:
    """Load one thing of a trip's list: a bin with all in it, a package, a mould.

    Afterwards: it lies in the zone that was scanned, or in that of its line. What is there already stays
    there, and nothing is written unless it was missing. A scan that waited on its phone is recorded when it
    was made.
    Refused: loading.closed, loading.no_goods, loading.taken, loading.other_trailer, loading.wrong_trailer,
    loading.in_bin, loading.wrong_lot, loading.not_listed, loading.which_zone, loading.past, loading.better,
    loading.beside, stock.on_hold, place.rank, thing.unborn, card.unknown.
    """
    row = _open(act, trip)
    check_goods([thing])
    late = act.by.at is not None and act.by.now - act.by.at > LATE
    if not late:  # what went on hold since lies aboard all the same: it is set apart there
        check_held([thing])
    facts = aboard.facts_of(row, timezone.localdate(act.at))
    scan = aboard.Scan(thing, "", to, frozenset(sure), late)
    found = objections.objection(facts, scan)
    if found is not None:
        raise found.refused
    if aboard.stays(facts, scan):
        _turned_up(act, trip, thing)
        return
    into = aboard.target(facts, scan)
    assert into is not None  # noqa: S101 - loading.which_zone is asked before
    listed = {line.thing_id: line for line in facts.listed}
    other = aboard.swapped(facts, scan) if scan.swap is not None else None
    if thing not in listed:
        check_free(row, thing)
        line = listed.get(other.id) if other else None
        if other is not None:
            take_off(act, trip, other.id)
        put_line(act, row, thing, amount=None, zone_id=into, why=line.why if line else "")
    state = ledger.states([thing]).get(thing)
    if act.by.at is None and state is not None and state.place == into:
        _turned_up(act, trip, thing)
        return
    act.record("moved", contents=[Entry(thing, to=into)], where=into, facts={"trip": str(trip)})


def _turned_up(act: Act, trip: UUID, thing: UUID) -> None:
    """Scanned where the books have it: what was missing is so no more."""
    state = ledger.states([thing]).get(thing)
    if state is not None and state.place is not None and thing in missing():
        entry = Entry(thing, to=state.place)
        act.record("moved", contents=[entry], where=state.place, facts={"trip": str(trip)})


def _open(act: Act, trip: UUID) -> Trip:
    """A trip that can still be loaded."""
    row = cards.there(Trip, trip)
    assert isinstance(row, Trip)  # noqa: S101 - for the type checker
    if row.cancelled or road.standing(trip).home_by(act.at):
        raise Refused(
            "loading.closed",
            say("The trip to {name} is over, or was cancelled: nothing is loaded for it.", name=row.name),
            say("Move the thing to where it lies; or choose the trip it goes on."),
        )
    return row


@happening
def depart(act: Act, /, *, trip: UUID, left_behind: int = 0, against: int = 0) -> None:
    """Leave: the trailers and tow cars of a trip are on the road.

    Afterwards: the trip is away; what was aboard then, and how much of its list was not, stays on record, and
    what it is planned to need, to weigh and to press.
    Refused: road.cancelled, road.departed, card.unknown, thing.unborn.
    """
    row = _there(trip)
    if row.cancelled:
        raise Refused(
            "road.cancelled",
            say("The trip to {name} was cancelled.", name=row.name),
            say("Plan another trip, or take the cancelling back."),
        )
    if road.standing(trip).departed_at is not None:
        raise _taken("road.departed", row.name)
    planned = trip_plan.plan(row, timezone.localdate(act.at))
    _step(act, row, road.DEPARTED, {"left_behind": left_behind, "against": against, "plan": planned})


@happening
def arrive(act: Act, /, *, trip: UUID) -> None:
    """Say that a trip has arrived.

    Afterwards: it is on record when. Refused: road.not_away, road.arrived, card.unknown, thing.unborn.
    """
    row = _there(trip)
    _check_away(row)
    if road.standing(trip).arrived_at is not None:
        raise _taken("road.arrived", row.name)
    _step(act, row, road.ARRIVED, {})


@happening
def come_home(act: Act, /, *, trip: UUID) -> None:
    """Say that a trip is home again.

    Afterwards: nothing is loaded for it any more; what is still in its trailers waits to be unloaded, what
    was opened waits to be counted. Refused: road.not_away, road.home, card.unknown, thing.unborn.
    """
    row = _there(trip)
    if road.standing(trip).home_at is not None:
        raise _taken("road.home", row.name)
    _check_away(row)
    _step(act, row, road.HOME, {})


@happening
def count_home(act: Act, /, *, trip: UUID, counts: Sequence[tuple[UUID, Amount]]) -> None:
    """Count what was opened or drawn from on a trip, all in one act.

    Afterwards: so much is in each; the differences to the books are worked out, and the trip's use with them.
    Refused: road.not_away, road.above_loaded, road.nothing_counted, stock.wrong_unit, thing.unborn.
    """
    row = _there(trip)
    _check_away(row)
    if not counts:
        raise Refused(
            "road.nothing_counted", say("No amount was entered."), say("Weigh or count at least one package.")
        )
    left_at = road.standing(trip).departed_at
    had = home.had_at([package for package, _ in counts], left_at) if left_at else {}
    for package, amount in counts:
        if package in had and amount.value > had[package]:
            raise Refused(
                "road.above_loaded",
                say(
                    "{thing} would hold {found}, more than the {loaded} it left with.",
                    thing=ledger.name(package),
                    found=Spoken(amount, exact=True),
                    loaded=Spoken(Amount(had[package], amount.base), exact=True),
                ),
                say("Weigh it again without what does not belong to it; a refill is received or split."),
            )
    for package, amount in counts:
        act.record(
            "counted",
            observed=[Entry(package, amount, Basis.WEIGHED)],
            facts={"trip": str(trip)},
        )


@happening
def not_here(act: Act, /, *, trip: UUID, thing: UUID) -> None:
    """Say of one thing that it is not in the trip's trailers, where the books have it.

    Afterwards: it is missing, and keeps amount and place until it turns up or is written off.
    Refused: road.not_away, road.not_aboard, card.unknown, thing.unborn.
    """
    row = _there(trip)
    _check_away(row)
    still = home.still_aboard(row)
    if thing not in {each.id for each in (*still.unload, *still.stays)}:
        raise Refused(
            "road.not_aboard",
            say("By the books {thing} is not in the trailers of this trip.", thing=ledger.name(thing)),
            say("Open the page anew: somebody may have unloaded it."),
        )
    act.record("not found", observed=[Entry(thing)], facts={"trip": str(trip)})


@happening
def weigh_load(
    act: Act,
    /,
    *,
    trip: UUID,
    when: str,
    weights: Sequence[tuple[UUID, int | None, int | None]],
    mass_doubt_mg: int | None = None,
    nose_doubt_mg: int | None = None,
) -> None:
    """Weigh the loaded trailers of a trip, as they leave or as they are home: mass and nose weight of each.

    Afterwards: what the scale said is on record beside what the list says, with how far off each scale may
    be where that was said.
    Refused: road.weigh_when, road.weigh_nothing, road.weigh_trailer, road.weigh_mass, road.weigh_doubt,
    road.not_away, card.unknown, thing.unborn.
    """
    row = _there(trip)
    if when not in road.WEIGHED_WHEN:
        raise Refused(
            "road.weigh_when",
            say("A trailer is not weighed {when}.", when=when[:20]),
            say("Choose as it leaves, or as it is home."),
        )
    if when == "home":
        _check_away(row)
    said = [entry for entry in weights if entry[1:] != (None, None)]
    if not said:
        raise Refused("road.weigh_nothing", say("No weight was entered."), say("Enter what the scale shows."))
    for doubt in (mass_doubt_mg, nose_doubt_mg):
        _check_doubt(doubt)
    for trailer, mass_mg, nose_mg in said:
        _check_weights(row, trailer, mass_mg, nose_mg)
        values = {
            "mass_mg": mass_mg,
            "nose_mg": nose_mg,
            "mass_doubt_mg": None if mass_mg is None else mass_doubt_mg,
            "nose_doubt_mg": None if nose_mg is None else nose_doubt_mg,
        }
        facts = {name: value for name, value in values.items() if value is not None}
        act.record(road.WEIGHED, observed=[Entry(trailer)], facts={"trip": str(trip), "when": when, **facts})


def _check_doubt(doubt_mg: int | None) -> None:
    if doubt_mg is not None and not 0 < doubt_mg <= DOUBT_MOST_MG:
        raise Refused(
            "road.weigh_doubt",
            say(
                "Give or take {doubt} is no scale for a trailer.",
                doubt=Spoken(Amount(doubt_mg, Base.MG), exact=True),
            ),
            say(
                "Enter its smallest step, or what its papers say, up to {most}; or leave it empty.",
                most=Spoken(Amount(DOUBT_MOST_MG, Base.MG)),
            ),
        )


def _check_weights(row: Trip, trailer: UUID, mass_mg: int | None, nose_mg: int | None) -> None:
    if str(trailer) not in row.trailers:
        raise Refused(
            "road.weigh_trailer",
            say("{thing} is no trailer of this trip.", thing=ledger.name(trailer)),
            say("Choose one of the trip's trailers."),
        )
    most = LOAD_MOST_MG if mass_mg is None else mass_mg
    if not 0 < most <= LOAD_MOST_MG or not 0 <= (nose_mg or 0) < most:
        raise Refused(
            "road.weigh_mass",
            say(
                "{mass}, and {nose} of it on the nose, cannot be.",
                mass="–" if mass_mg is None else Spoken(Amount(mass_mg, Base.MG), exact=True),
                nose="–" if nose_mg is None else Spoken(Amount(nose_mg, Base.MG), exact=True),
            ),
            say("Read the scale again, and mind the unit."),
        )


@happening
def weigh_waste(act: Act, /, *, trip: UUID, sort: str, mass_mg: int) -> None:
    """Weigh the waste of a trip: what is chemical apart from all else.

    Afterwards: it is on record how much of which came home.
    Refused: road.not_away, road.waste_sort, road.waste_mass, road.waste_above, card.unknown, thing.unborn.
    """
    row = _there(trip)
    _check_away(row)
    if sort not in WASTE:
        raise Refused(
            "road.waste_sort", say("Waste is no {sort}.", sort=sort[:20]), say("Choose chemical, or other.")
        )
    if not 0 < mass_mg <= WASTE_MOST_MG:
        raise Refused(
            "road.waste_mass",
            say("{kg} kg is no weight of a trip's waste.", kg=mass_mg / 1_000_000),
            say("Weigh it again, and mind the unit."),
        )
    drawn = home.liquids_taken_mg(row)
    before = home.waste(trip).get("chemical", 0)
    if sort == "chemical" and mass_mg + before > drawn:
        raise Refused(
            "road.waste_above",
            say(
                "{kg} kg of chemical waste is more than the {drawn} kg of liquids that were taken out.",
                kg=(mass_mg + before) / 1_000_000,
                drawn=drawn / 1_000_000,
            ),
            say(
                "Weigh it without its drum and without what is other waste; record first what was taken out."
            ),
        )
    _step(act, row, "waste weighed", {"sort": sort, "mass_mg": mass_mg})


def _there(trip: UUID) -> Trip:
    row = cards.there(Trip, trip)
    assert isinstance(row, Trip)  # noqa: S101 - for the type checker
    return row


def _check_away(row: Trip) -> None:
    if road.standing(row.id).departed_at is None:
        raise Refused(
            "road.not_away",
            say("The trip to {name} has not left.", name=row.name),
            say("Record its departure first; its time can be given."),
        )


def _taken(code: str, name: str) -> Refused:
    return Refused(
        code,
        say("That is on record for the trip to {name} already.", name=name),
        say("If it was wrong, take that act back first."),
    )


def _step(act: Act, row: Trip, step: str, facts: Mapping[str, object]) -> None:
    """One step of a trip: an event on its trailers and cars that names it."""
    kinds = ledger.kinds(vehicles(row))
    observed = [
        Entry(vehicle) for vehicle, (kind, _) in kinds.items() if kind in (Kind.TRAILER, Kind.TOW_CAR)
    ]
    act.record(step, observed=observed, facts={"trip": str(row.id), **facts})
