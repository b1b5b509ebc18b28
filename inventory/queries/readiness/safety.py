"""What a trip needs for when something goes wrong: safety equipment, inspections, fuel, backups.

Reads facts only. It reminds; it certifies nothing.
"""

from collections.abc import Iterator
from datetime import date

from inventory.compute.codes import Kind
from inventory.compute.reasons import Basis, How, Input, Level
from inventory.errors import say
from inventory.queries.notes import Cure, Note
from inventory.queries.readiness.cures import fetch
from inventory.queries.readiness.dangerous import quantity
from inventory.queries.readiness.facts import Facts, Piece, TrailerOf
from inventory.queries.readiness.masses import HARM_PURPOSES

BACKUP_DAYS = 7
FUEL_RULE = "litres an hour x hours the venues are open, against the fuel that comes along"
FUEL_SOURCE = "its plate or sheet; the venues' hours as entered"


def reasons(facts: Facts) -> list[Note]:
    """What is missing, overdue or old."""
    return [
        *_extinguishers(facts),
        *_one_each(facts),
        *_inspections(facts),
        *_held(facts),
        *_heaters(facts),
        *_fuel(facts),
        *_books(facts),
        *_apart(facts),
    ]


def in_order(piece: Piece, on: date) -> bool:
    """Not on hold, and no inspection overdue that day."""
    return not piece.held and not any(due.overdue(on) for due in piece.dues)


# --- equipment ------------------------------------------------------------------------------------------


def _extinguishers(facts: Facts) -> Iterator[Note]:
    """One that is in order in every trailer."""
    for trailer in facts.trailers:
        own = [piece for piece in facts.of_sort("extinguisher") if piece.spot.goes_in == trailer.id]
        if not any(in_order(piece, facts.trip.back_on) for piece in own):
            yield _no_extinguisher(facts, trailer, own)


def _no_extinguisher(facts: Facts, trailer: TrailerOf, own: list[Piece]) -> Note:
    if own:
        sentence = say(
            "No extinguisher in {trailer} is in order until the trip is over.", trailer=trailer.name
        )
    else:
        sentence = say("No extinguisher comes along in {trailer}.", trailer=trailer.name)
    cures = (*_to_inspect(own, facts), *fetch(facts, "extinguisher", into=trailer.id))
    return Note(sentence, Level.STOP, code="ready.safety_extinguisher", cures=cures)


def _to_inspect(pieces: list[Piece], facts: Facts) -> Iterator[Cure]:
    for piece in pieces:
        if any(due.overdue(facts.trip.back_on) for due in piece.dues):
            sentence = say("Have {thing} inspected, and record it.", thing=piece.row.name)
            yield Cure(sentence, "equipment-card", (piece.code,))


def _one_each(facts: Facts) -> Iterator[Note]:
    """Eyewash where there is resin or solvent, an alarm where something is heated, first aid always."""
    harm = any(facts.materials[each.material].purpose in HARM_PURPOSES for each in facts.aboard)
    warm = bool(facts.trip.heated) or any(piece.row.heated for piece in facts.of_sort(Kind.PRESS.value))
    wanted = {
        "eyewash": (harm, say("No eyewash comes along, and resin, glue or solvent does.")),
        "alarm": (warm, say("No alarm for smoke and carbon monoxide comes along.")),
        "first aid": (bool(facts.trailers), say("Nothing for first aid comes along.")),
    }
    for sort, (asked, sentence) in wanted.items():
        if asked and not any(not piece.held for piece in facts.of_sort(sort)):
            cures = tuple(fetch(facts, sort)) or (
                Cure(say("Get it; once it has a card it can go on the list."), "equipment-make"),
            )
            yield Note(sentence, Level.STOP, code=f"ready.safety_{sort.replace(' ', '_')}", cures=cures)


def _inspections(facts: Facts) -> Iterator[Note]:
    """Whatever comes along and is overdue before the trip is over, extinguishers apart."""
    for piece in facts.gear:
        for due in piece.dues:
            if piece.sort == "extinguisher" or not due.overdue(facts.trip.back_on):
                continue
            late = due.overdue(facts.trip.leaves_on)
            values = {"thing": piece.row.name, "code": piece.code, "what": due.what, "day": due.by}
            if due.last_on is None:
                sentence = say("{thing} {code} was never inspected: {what}.", **values)
            else:
                sentence = say("{thing} {code} is due for inspection by {day}: {what}.", **values)
            cure = Cure(say("Have it inspected, and record it."), "equipment-card", (piece.code,))
            level = Level.STOP if late else Level.LOOK
            yield Note(sentence, level, code="ready.safety_inspection", cures=(cure,), by=due.by)


def _held(facts: Facts) -> Iterator[Note]:
    """On hold it is aboard for nothing."""
    for piece in facts.gear:
        if piece.held:
            sentence = say(
                "{thing} {code} comes along and is on hold.", thing=piece.row.name, code=piece.code
            )
            why = say("Leave it here, or have the hold lifted by whoever may.")
            yield Note(sentence, Level.LOOK, why, "thing", (piece.code,), code="ready.safety_held")


def _heaters(facts: Facts) -> Iterator[Note]:
    for piece in facts.of_sort("fuel heater"):
        sentence = say("{thing} burns fuel: not at lay-up, and not while driving.", thing=piece.row.name)
        why = say("It gives carbon monoxide, and a film on resin that glue does not hold on.")
        yield Note(sentence, Level.LOOK, why, "thing", (piece.code,), code="ready.safety_heater")


# --- fuel -----------------------------------------------------------------------------------------------


def _fuel(facts: Facts) -> Iterator[Note]:
    """Fuel for the generator where a venue gives no power."""
    dark = [
        workshop for workshop in facts.workshops if workshop.circuits is not None and not workshop.circuits
    ]
    generators = [piece for piece in facts.of_sort("generator") if not piece.held]
    if not dark or not generators:
        return
    best = max(generators, key=lambda piece: piece.row.watts or 0.0)
    hours = 0.0
    for workshop in dark:
        row = workshop.row
        if row.opens_min is None or row.closes_min is None or best.row.fuel_l_h is None:
            sentence = say("How much fuel {thing} needs cannot be said.", thing=best.row.name)
            why = say("Enter what it burns in an hour on its card, and the hours of the venue.")
            cure = Cure(say("Enter what it burns."), "equipment-edit", (best.code,))
            yield Note(sentence, Level.UNKNOWN, why, code="ready.safety_fuel_unknown", cures=(cure,))
            return
        hours += ((row.ends_on - row.starts_on).days + 1) * (row.closes_min - row.opens_min) / 60
    there = _litres(facts)
    needs = hours * (best.row.fuel_l_h or 0.0)
    inputs = (
        Input("hours", round(hours, 1), "h"),
        Input("it burns", best.row.fuel_l_h, "l/h", Basis.DATA_SHEET),
        Input("fuel that comes along", round(there, 1), "l"),
    )
    how = How(FUEL_RULE, FUEL_SOURCE, inputs)
    values = {"thing": best.row.name, "needs": round(needs, 1), "there": round(there, 1)}
    if there < needs:
        sentence = say("{thing} needs up to {needs} l of fuel; {there} l come along.", **values)
        cure = Cure(say("Put fuel on the loading list."), "trips-list", (str(facts.trip.id),))
        yield Note(sentence, Level.STOP, how=how, code="ready.safety_fuel", cures=(cure,))
    else:
        sentence = say("{thing} needs up to {needs} l of fuel; {there} l come along.", **values)
        yield Note(sentence, Level.FINE, how=how, code="ready.safety_fuel")


def _litres(facts: Facts) -> float:
    """The fuel that comes along; what is kept by weight counts by its density, without one not at all."""
    rows = [(facts.materials[each.material], each) for each in facts.aboard]
    return sum(quantity(row, [each]) or 0.0 for row, each in rows if row.purpose == "fuel")


# --- books ----------------------------------------------------------------------------------------------


def _books(facts: Facts) -> Iterator[Note]:
    """Far from signal the laptop is all there is."""
    if facts.backed_up_on is None:
        sentence = say("No backup of this laptop is known to be whole.")
        yield Note(sentence, Level.LOOK, say("Back it up before you leave."), code="ready.safety_backup")
    elif (facts.trip.leaves_on - facts.backed_up_on).days > BACKUP_DAYS:
        sentence = say("This laptop was last backed up on {day}.", day=facts.backed_up_on)
        yield Note(sentence, Level.LOOK, say("Back it up before you leave."), code="ready.safety_backup")
    for letter, day in sorted(facts.met_on.items()):
        if day is None:
            sentence = say("The books of laptop {letter} were never taken in here.", letter=letter)
        elif (facts.trip.leaves_on - day).days > BACKUP_DAYS:
            sentence = say(
                "The books of laptop {letter} were last taken in on {day}.", letter=letter, day=day
            )
        else:
            continue
        why = say("Merge before you part: what it knows is not in this answer.")
        yield Note(sentence, Level.LOOK, why, "help-page", ("working-apart",), code="ready.safety_met")


def _apart(facts: Facts) -> Iterator[Note]:
    """Put into two places by two laptops: where it lies is a question until somebody goes and looks."""
    named = {piece.id: (piece.row.name, piece.code) for piece in facts.equipment}
    named |= {each.id: (facts.materials[each.material].name, each.code) for each in facts.packages}
    named |= {place.id: (place.name, place.code) for place in facts.places.values()}
    for name, code in sorted(named[id] for id in facts.moved_apart if id in named):
        sentence = say("Two laptops put {thing} {code} into different places.", thing=name, code=code)
        cure = Cure(say("Go and look, and settle it."), "books-disagreements")
        yield Note(sentence, Level.UNKNOWN, code="ready.safety_apart", cures=(cure,))
