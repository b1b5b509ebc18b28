"""Whether each guest's own parts come along: sheet, cores, tag, mould, gear; and the papers of the goods.

Reads facts only. Where the nearest of what is missing lies is part of the reason.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from uuid import UUID

from inventory.compute.artwork import Stage
from inventory.compute.reasons import Level
from inventory.errors import Sentence, say
from inventory.queries.bench import REJECTED
from inventory.queries.notes import Cure, Note, counted
from inventory.queries.readiness.cures import nearest
from inventory.queries.readiness.facts import Facts, Packed, PairOf, Piece
from inventory.queries.readiness.needs import unbooked
from inventory.queries.readiness.worn import worn

GOODS_WITH_SHEETS = frozenset({"resin", "hardener", "glue", "solvent", "fuel"})
CORE, PROFILED = "blank", "profiled"
SHOWN = 12


def reasons(facts: Facts) -> list[Note]:
    """What is missing of the guests' own parts, and what was found in place."""
    found: list[Note] = []
    for pair in facts.pairs:
        if pair.to_make:
            found += _sheet(pair, facts)
    return [
        *found,
        *_cores(facts),
        *_unbooked(facts),
        *_tags(facts),
        *_moulds(facts),
        *_templates(facts),
        *_scale(facts),
        *worn(facts),
        *_papers(facts),
        *_given_back(facts),
        *_missing(facts),
        *_away(facts),
        *_twice(facts),
    ]


# --- of one pair ------------------------------------------------------------------------------------------


def _sheet(pair: PairOf, facts: Facts) -> Iterator[Note]:
    """The printed top sheet: here, and checked against the pair."""
    art = pair.artwork
    if art is None or art.checked_on is not None:
        return
    stage = Stage.HERE if art.here_on is None else Stage.CHECKED
    if art.here_on is not None:
        sentence = say("The top sheet of pair {code} is here and not checked yet.", code=pair.code)
        button = say("It is checked")
    elif art.at_printer_on is not None:
        sentence = say(
            "The top sheet of pair {code} has been at the printer since {day}.",
            code=pair.code,
            day=art.at_printer_on,
        )
        button = say("It is here")
    else:
        sentence = say("The top sheet of pair {code} is not at the printer yet.", code=pair.code)
        cure = Cure(say("Go on with its artwork."), page="artwork-path", about=(pair.code,))
        yield _note(sentence, "ready.sheet", pair, facts, cure)
        return
    values = {"stage": stage.value, "on": facts.today.isoformat()}
    cure = Cure(
        say("Tap once it is so; it is kept with today's date."),
        page="artwork-mark",
        about=(pair.code,),
        values=values,
        button=button,
    )
    yield _note(sentence, "ready.sheet", pair, facts, cure)


def _unbooked(facts: Facts) -> Iterator[Note]:
    """Sheets that are here and in no package: a lay-up takes them out of one."""
    for material, lack in unbooked(facts):
        sentence = counted(
            lack,
            say("{material}: 1 that is here is in no package yet.", material=material.name),
            say(
                "{material}: {count} that are here are in no package yet.", material=material.name, count=lack
            ),
        )
        cure = Cure(
            say("Receive it, so that its lay-up can take it."),
            page="stock-receive",
            find={"material": str(material.id)},
            button=say("Receive {material}", material=material.name),
        )
        yield Note(
            sentence,
            Level.LOOK,
            page="materials-card",
            about=(material.key,),
            code="ready.sheet_unbooked",
            cures=(cure,),
        )


def _note(sentence: Sentence, code: str, pair: PairOf, facts: Facts, *cures: Cure) -> Note:
    return Note(
        sentence, Level.STOP, page="thing", about=(pair.code,), code=code, cures=cures, by=facts.loads_on
    )


# --- of all pairs -----------------------------------------------------------------------------------------


def _cores(facts: Facts) -> Iterator[Note]:
    """Cores are made ready at the yard: one reason, however many pairs wait for theirs."""
    blanks = {row.key for row in facts.materials.values() if row.purpose == CORE}
    wait = [
        pair for pair in facts.pairs if pair.to_make and not pair.both(PROFILED) and _layers(pair) & blanks
    ]
    if len(wait) == 1:
        (pair,) = wait
        sentence = say("The cores of pair {code} are not profiled yet.", code=pair.code)
        cure = Cure(say("Once both are, record the step."), page="builds-step", about=(pair.code, PROFILED))
        yield _note(sentence, "ready.core", pair, facts, cure)
    elif wait:
        yield Note(
            say("The cores of {count} pairs are not profiled yet.", count=len(wait)),
            Level.STOP,
            say("Once both cores of a pair are, record the step on its card."),
            codes=tuple(pair.code for pair in wait),
            code="ready.core",
            by=facts.loads_on,
        )


def _layers(pair: PairOf) -> set[str]:
    card = pair.row.layup
    return {row["material"] for row in card.layers} if card else set()


def _tags(facts: Facts) -> Iterator[Note]:
    """A tag lies under the top sheet. Whether it was printed no book says: it is told, and is no reason."""
    skis = [ski for pair in facts.pairs for ski in pair.skis if not {"lay-up", REJECTED} & ski.done]
    bare = [pair for pair in facts.pairs if any(not ski.code for ski in pair.skis)]
    for pair in bare:
        sentence = say("A ski of pair {code} has no code for its tag.", code=pair.code)
        yield _note(sentence, "ready.tag", pair, facts)
    if skis and not bare:
        values = {"count": len(skis)}
        sentence = say("The tags of {count} skis are laid in with them: take them along.", **values)
        codes = ",".join(ski.code.replace("-", "") for ski in skis)
        yield Note(sentence, Level.FINE, page="tags-choose", find={"codes": codes}, code="ready.tag")


def _lengths(facts: Facts) -> Counter[int]:
    """How many pairs of each length are still to be laid up."""
    return Counter(pair.row.length_mm for pair in facts.pairs if pair.to_make)


def _moulds(facts: Facts) -> Iterator[Note]:
    """A mould for every length; lengths that want the same moulds are one reason."""
    moulds = facts.of_sort("mould", coming=False)
    wanted: dict[tuple[UUID, ...], list[tuple[int, int]]] = {}
    for length, pairs in sorted(_lengths(facts).items()):
        fits = [each for each in moulds if length in each.row.lengths_mm]
        coming = [each for each in fits if each.spot.goes and not each.held]
        if coming:
            sentence = say(
                "A mould for {length} mm comes along: {name}.", length=length, name=coming[0].row.name
            )
            yield Note(
                sentence, Level.FINE, page="equipment-card", about=(coming[0].code,), code="ready.mould"
            )
        else:
            wanted.setdefault(tuple(each.id for each in fits), []).append((length, pairs))
    for ids, rows in wanted.items():
        yield _no_mould([each for each in moulds if each.id in ids], moulds, rows, facts)


def _no_mould(
    fits: Sequence[Piece], moulds: Sequence[Piece], rows: Sequence[tuple[int, int]], facts: Facts
) -> Note:
    pairs = sum(count for _, count in rows)
    values = {"lengths": ", ".join(str(length) for length, _ in rows), "pairs": pairs}
    unsaid = [each for each in moulds if not each.row.lengths_mm]
    if not fits and unsaid:
        sentence = say(
            "Whether a mould takes {lengths} mm is not said: {name} has no lengths.",
            name=unsaid[0].row.name,
            **values,
        )
        return Note(
            sentence, Level.UNKNOWN, page="equipment-card", about=(unsaid[0].code,), code="ready.mould"
        )
    near = [each for each in fits if each.free]
    sentence = counted(
        pairs,
        say("No mould for {lengths} mm comes along; 1 pair needs it.", **values),
        say("No mould for {lengths} mm comes along; {pairs} pairs need it.", **values),
    )
    return Note(
        sentence,
        Level.STOP,
        why=_on_hold(fits),
        page="equipment",
        code="ready.mould",
        cures=tuple(nearest(facts, near, "mould", "press")),
        by=facts.loads_on,
    )


def _templates(facts: Facts) -> Iterator[Note]:
    """Where the shop has a template for a length, it comes along."""
    templates = facts.of_sort("template", coming=False)
    for length in sorted(_lengths(facts)):
        fits = [each for each in templates if length in each.row.lengths_mm]
        if fits and not any(each.spot.goes and not each.held for each in fits):
            sentence = say("The template for {length} mm does not come along.", length=length)
            near = [each for each in fits if each.free]
            cures = tuple(nearest(facts, near, "template", "router"))
            yield Note(
                sentence,
                Level.STOP,
                why=_on_hold(fits),
                page="equipment",
                code="ready.template",
                cures=cures,
                by=facts.loads_on,
            )


def _scale(facts: Facts) -> Iterator[Note]:
    """A mix is weighed."""
    scales = facts.of_sort("scale", coming=False)
    if not _lengths(facts) or any(each.spot.goes and not each.held for each in scales):
        return
    if scales:
        sentence, level = say("No scale comes along to weigh a mix."), Level.STOP
    else:
        sentence, level = say("No scale is in these books: bring one, and make its card."), Level.LOOK
    cures = tuple(nearest(facts, [each for each in scales if each.free], "scale"))
    yield Note(
        sentence,
        level,
        why=_on_hold(scales),
        page="equipment",
        code="ready.scale",
        cures=cures,
        by=facts.loads_on,
    )


def _on_hold(pieces: Iterable[Piece]) -> Sentence | None:
    """Why none of these comes along, where a hold is why."""
    rows = list(pieces)
    held = [each for each in rows if each.held]
    if not held or any(each.free for each in rows):
        return None
    return say("{code} is on hold.", code=held[0].code)


def _papers(facts: Facts) -> Iterator[Note]:
    """The safety data sheet of what comes along."""
    goods = {
        each.material
        for each in facts.aboard
        if facts.materials[each.material].purpose in GOODS_WITH_SHEETS
        or facts.materials[each.material].regulated
    }
    for row in sorted((facts.materials[id] for id in goods), key=lambda row: row.name):
        if row.id not in facts.sheets:
            sentence = say("The safety data sheet of {material} is not kept here.", material=row.name)
            cure = Cure(say("Keep it with the material's card."), page="papers-attach", about=(str(row.id),))
            yield Note(
                sentence,
                Level.STOP,
                page="materials-card",
                about=(row.key,),
                code="ready.sheet_missing",
                cures=(cure,),
            )
    guests = sum(workshop.booked_seats for workshop in facts.workshops)
    if guests:
        sentence = counted(
            guests,
            say("Take the signed form of 1 guest along: it is on paper."),
            say("Take the signed forms of {guests} guests along: they are on paper.", guests=guests),
        )
        yield Note(sentence, Level.FINE, page="bench", code="ready.forms")


def _given_back(facts: Facts) -> Iterator[Note]:
    """A guest who gave the seat back needs nothing; what was printed for them is there all the same."""
    for workshop in facts.workshops:
        for pair in workshop.pairs:
            if not pair.comes:
                art = pair.artwork
                if art is not None and art.at_printer_on is not None:
                    sentence = say(
                        "The seat of pair {code} was given back after its top sheet went to the printer; "
                        "it is not counted.",
                        code=pair.code,
                    )
                else:
                    sentence = say(
                        "The seat of pair {code} was given back; it is not counted.", code=pair.code
                    )
                yield Note(sentence, Level.LOOK, page="thing", about=(pair.code,), code="ready.given_back")


def _missing(facts: Facts) -> Iterator[Note]:
    """What was looked for in vain and by the books lies in a vehicle of this trip, or is on its list."""
    listed, names = {line.thing_id for line in facts.listed}, _names(facts)
    rows: list[Packed | Piece] = [*facts.packages, *facts.equipment]
    for each in rows:
        ours = facts.trailer(each.spot.vehicle) or not listed.isdisjoint((each.id, *each.spot.chain))
        if each.spot.missing and ours:
            name, code = names[each.id]
            sentence = say(
                "{name} {code} was looked for in vain: it counts for nothing.", name=name, code=code
            )
            cure = Cure(
                say("Where it turned up after all, scan it in, or count it."),
                page="places-move",
                find={"codes": code},
            )
            yield Note(sentence, Level.LOOK, page="thing", about=(code,), code="ready.missing", cures=(cure,))


def _away(facts: Facts) -> Iterator[Note]:
    """What is on the list and on the road with another trip on the day it should be loaded."""
    listed, names = {line.thing_id for line in facts.listed}, _names(facts)
    rows: list[Packed | Piece] = [*facts.packages, *facts.equipment]
    for each in rows:
        trip = facts.away.get(each.spot.vehicle) if each.spot.vehicle else None
        if each.spot.away and trip and not listed.isdisjoint((each.id, *each.spot.chain)):
            name, code = names[each.id]
            sentence = say(
                "{name} {code} is away with the trip to {trip} until {day}: it counts for nothing.",
                name=name,
                code=code,
                trip=trip.name,
                day=trip.back_on,
            )
            yield Note(sentence, Level.LOOK, page="thing", about=(code,), code="ready.away")


def _names(facts: Facts) -> dict[UUID, tuple[str, str]]:
    """Name and code of all there is."""
    names: dict[UUID, tuple[str, str]] = {each.id: (each.row.name, each.code) for each in facts.equipment}
    names |= {each.id: (facts.materials[each.material].name, each.code) for each in facts.packages}
    return names | {id: (place.name, place.code) for id, place in facts.places.items()}


def _twice(facts: Facts) -> Iterator[Note]:
    """Two laptops apart may list one thing for two trips of the same days."""
    names = _names(facts)
    for thing, trip in facts.twice:
        name, code = names.get(thing, ("", ""))
        sentence = say(
            "{name} is on the list of the trip to {trip} too, which is away on the same days.",
            name=name or code,
            trip=trip,
        )
        cure = Cure(
            say("Take it off this list, or off the other."),
            page="trips-take-off",
            about=(str(facts.trip.id),),
            values={"things": code},
            button=say("Take {code} off this list", code=code),
        )
        yield Note(sentence, Level.STOP, page="thing", about=(code,), code="ready.twice", cures=(cure,))
