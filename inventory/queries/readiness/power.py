"""Whether circuits or a generator, and the compressor, carry what comes along; and the spares of it.

Reads facts only. It totals and warns by what was entered; wiring is for a qualified person.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from inventory.compute import power, power_air
from inventory.compute.codes import Kind
from inventory.compute.power import Circuit, Draw, Generator
from inventory.compute.power_air import AirUse, Compressor
from inventory.compute.reasons import Basis, Given, Level, Reason
from inventory.errors import Refused, Sentence, say
from inventory.queries.notes import Cure, Note
from inventory.queries.readiness.cures import fetch
from inventory.queries.readiness.facts import Facts, Piece, WorkshopOf
from inventory.queries.readiness.masses import coded

TAKES_POWER = ("blanket", "compressor", "extraction", "heater", "controller")
HAND_TOOLS = ("router", "saw", "sander")
MOTORS = ("compressor", "extraction", *HAND_TOOLS)
SPARES = ("bladder", "hose", "controller", "cable")
GENERATOR = "generator"
GENERATOR_VOLTS = 230.0  # only parts what one plug can carry; a generator's own plate decides
GENERATOR_AMPS = 1_000.0
CAUTION = say("By what was entered, everything at once; leads unrolled. Wiring is for a qualified person.")


def reasons(facts: Facts) -> list[Note]:
    """What stands against power, air and their spares, workshop by workshop."""
    notes = [note for workshop in facts.workshops for note in _electric(facts, workshop)]
    return [*_once(notes), *_air(facts), *_spares(facts)]


def _once(notes: Iterable[Note]) -> list[Note]:
    """What is the same at several venues is said once."""
    found: dict[object, Note] = {}
    for note in notes:
        found.setdefault((note.code, str(note.sentence)), note)
    return list(found.values())


# --- electricity ----------------------------------------------------------------------------------------


def draws(facts: Facts) -> list[Piece]:
    """What comes along and takes power, the strongest first; of hand tools the strongest runs at one time."""
    own = [piece for piece in facts.of_sort(*TAKES_POWER) if not piece.held]
    heated_by_blankets = bool(facts.of_sort("blanket"))
    for piece in facts.of_sort(Kind.PRESS.value):
        own_heat = piece.row.watts is not None or not heated_by_blankets
        if piece.row.heated and not piece.held and own_heat:
            own.append(piece)
    tools = [piece for piece in facts.of_sort(*HAND_TOOLS) if not piece.held]
    tools = sorted(tools, key=lambda piece: -(piece.row.watts or 0.0))
    return sorted([*own, *tools[:1]], key=lambda piece: (-(piece.row.watts or 0.0), piece.row.name))


def _electric(facts: Facts, workshop: WorkshopOf) -> Iterator[Note]:
    pieces = draws(facts)
    if not pieces:
        return
    row, circuits = workshop.row, workshop.circuits
    about = (str(row.id),)
    if circuits is None:
        sentence = say("{workshop}: what power the venue gives is not entered.", workshop=row.name)
        cure = Cure(say("Enter its circuits, or that there is no power."), "builds-change", about)
        yield Note(sentence, Level.UNKNOWN, code="ready.power_venue", cures=(cure,))
        return
    generators = [piece for piece in facts.of_sort(GENERATOR) if not piece.held]
    if not circuits and not generators:
        sentence = say("{workshop}: no power there, and no generator comes along.", workshop=row.name)
        yield Note(sentence, Level.STOP, code="ready.power_none", cures=tuple(fetch(facts, GENERATOR)))
        return
    try:
        yield from _sums(workshop, pieces, circuits, generators)
    except Refused as refused:
        yield Note(refused.sentence, Level.UNKNOWN, refused.what_to_do, code=coded(refused.code))


def _sums(
    workshop: WorkshopOf,
    pieces: Sequence[Piece],
    circuits: Sequence[Sequence[Any]],
    generators: Sequence[Piece],
) -> Iterator[Note]:
    lines = [_circuit(row) for row in circuits] or [_plug()]
    plugged = spread(pieces, lines)
    generator = None if circuits else _generator(generators)
    found = power.power(draws=plugged, circuits=lines, generator=generator)
    by_name = {_name(piece): piece for piece in pieces}
    for reason in found.verdict.reasons:
        if circuits or not reason.code.startswith("power.circuit"):
            yield _power_note(workshop, reason, plugged, by_name, generators)


def _circuit(row: Sequence[Any]) -> Circuit:
    name, volts, amps = row
    return Circuit(
        str(name),
        Given(float(volts), Basis.DATA_SHEET, "the venue"),
        Given(float(amps), Basis.DATA_SHEET, "the venue"),
    )


def _plug() -> Circuit:
    return Circuit(GENERATOR, Given(GENERATOR_VOLTS, Basis.ASSUMED), Given(GENERATOR_AMPS, Basis.ASSUMED))


def _generator(pieces: Sequence[Piece]) -> Generator:
    """The strongest that comes along: two are not run on one lead."""
    row = max(pieces, key=lambda piece: piece.row.watts or 0.0).row
    return Generator(
        None if row.watts is None else Given(row.watts, Basis.DATA_SHEET, "plate"),
        None if row.start_watts is None else Given(row.start_watts, Basis.DATA_SHEET, "plate"),
    )


def spread(pieces: Iterable[Piece], circuits: Sequence[Circuit]) -> list[Draw]:
    """Each piece on a circuit: on the one it must have, else, strongest first, on the one with most room."""
    room = {circuit.name: circuit.volts.value * circuit.amps.value for circuit in circuits}
    found = []
    for piece in pieces:
        row = piece.row
        circuit = row.circuit if row.circuit in room else max(room, key=lambda name: room[name])
        draw = Draw(
            _name(piece),
            circuit,
            None if row.watts is None else Given(row.watts, Basis.DATA_SHEET, "plate"),
            motor=piece.sort in MOTORS,
            start_watts=None
            if row.start_watts is None
            else Given(row.start_watts, Basis.DATA_SHEET, "plate"),
        )
        factor = power.MOTOR_FACTOR if draw.motor else power.HEATER_FACTOR
        room[circuit] -= (row.watts or 0.0) / factor.value
        found.append(draw)
    return found


def _name(piece: Piece) -> str:
    return f"{piece.row.name} {piece.code}".strip()


def _power_note(
    workshop: WorkshopOf,
    reason: Reason,
    plugged: Sequence[Draw],
    by_name: dict[str, Piece],
    generators: Sequence[Piece],
) -> Note:
    sentence = _sentence(workshop.row.name, reason)
    on_circuits = reason.code == "power.together" or reason.code.startswith("power.circuit")
    why = say("Plugged in so: {plan}.", plan=_plan(plugged)) if on_circuits else CAUTION
    return Note(
        sentence,
        reason.level,
        why,
        how=reason.how,
        code=coded(reason.code),
        cures=tuple(_plates(reason, by_name, generators)),
    )


def _sentence(name: str, reason: Reason) -> Sentence:
    """A reason at a venue; everything runs at once here, so that minutes say nothing."""
    values = {"workshop": name, **reason.sentence.values}
    if reason.code == "power.together":
        return say("{workshop}: at most {watts} W run together.", **values)
    if reason.code == "power.circuit_near":
        return say(
            "{workshop}: “{name}” would carry {amps} A of its {rated} A, near what it bears for hours.",
            **values,
        )
    if reason.code == "power.circuit_over":
        return say("{workshop}: “{name}” would carry {amps} A, above its {rated} A.", **values)
    return say("{workshop}: {said}", workshop=name, said=reason.sentence)


def _plan(plugged: Sequence[Draw]) -> str:
    circuits = dict.fromkeys(draw.circuit for draw in plugged)
    return "; ".join(
        f"{circuit}: {', '.join(draw.name for draw in plugged if draw.circuit == circuit)}"
        for circuit in circuits
    )


def _plates(reason: Reason, by_name: dict[str, Piece], generators: Sequence[Piece]) -> Iterator[Cure]:
    """Where the number that is missing is entered."""
    if reason.level is not Level.UNKNOWN:
        return
    name = str(reason.sentence.values.get("name", ""))
    pieces = [by_name[name]] if name in by_name else generators
    for piece in pieces:
        yield Cure(say("Read its plate and enter it."), "equipment-edit", (piece.code,))


# --- air ------------------------------------------------------------------------------------------------


def _air(facts: Facts) -> Iterator[Note]:
    """What takes air against the compressor: every press, and what says so on its card."""
    presses = [piece for piece in facts.of_sort(Kind.PRESS.value) if not piece.held]
    others = [
        piece
        for piece in facts.gear
        if piece.row.air_l_min is not None and piece.sort not in ("compressor", Kind.PRESS.value)
    ]
    compressors = [piece for piece in facts.of_sort("compressor") if not piece.held]
    if not presses:
        return
    if not compressors:
        sentence = say("No compressor comes along: nothing fills the presses' bladders.")
        yield Note(sentence, Level.STOP, code="ready.air_none", cures=tuple(fetch(facts, "compressor")))
        return
    best = max(compressors, key=lambda piece: piece.row.air_l_min or 0.0)
    uses = [
        AirUse(_name(piece), _plate(piece.row.air_l_min), _plate(piece.row.air_kpa))
        for piece in presses + others
    ]
    try:
        found = power_air.air(
            uses=uses, compressor=Compressor(_plate(best.row.air_l_min), _plate(best.row.air_kpa))
        )
    except Refused as refused:
        yield Note(refused.sentence, Level.UNKNOWN, refused.what_to_do, code=coded(refused.code))
        return
    by_name = {_name(piece): piece for piece in presses + others}
    for reason in found.verdict.reasons:
        cures = tuple(_plates(reason, by_name, [best]))
        yield Note(reason.sentence, reason.level, how=reason.how, code=coded(reason.code), cures=cures)


def _plate(value: float | None) -> Given[float] | None:
    return None if value is None else Given(value, Basis.DATA_SHEET, "plate")


# --- spares ---------------------------------------------------------------------------------------------


def _spares(facts: Facts) -> Iterator[Note]:
    """A bladder, a hose, a controller and a cable to change to; without them a broken one ends the day."""
    presses = facts.of_sort(Kind.PRESS.value)
    if not presses:
        return
    for sort in SPARES:
        if sort == "controller" and not any(piece.row.heated for piece in presses):
            continue
        if any(not piece.held for piece in facts.of_sort(sort)):
            continue
        yield _spare(facts, sort)


def _spare(facts: Facts, sort: str) -> Note:
    sentences = {
        "bladder": say("No spare bladder comes along that is not on hold."),
        "hose": say("No hose comes along that is not on hold."),
        "controller": say("No spare controller comes along that is not on hold."),
        "cable": say("No cable comes along that is not on hold."),
    }
    cures = tuple(fetch(facts, sort))
    if cures:
        return Note(sentences[sort], Level.STOP, code=f"ready.spare_{sort}", cures=cures)
    cure = Cure(say("Buy one, or enter the one there is."), "equipment-make")
    return Note(sentences[sort], Level.LOOK, code=f"ready.spare_{sort}", cures=(cure,))
