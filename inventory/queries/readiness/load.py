"""Why a trip's trailers cannot leave as loaded: each quantity against its plate, by what was entered.

Reads facts only. It never says that a load will do; it says what is over, what to weigh, what is not known.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from inventory.compute.load import Against, Quantity, Word
from inventory.compute.reasons import Level
from inventory.compute.units import metres
from inventory.errors import Listed, Sentence, say
from inventory.queries.notes import Cure, Note, counted
from inventory.queries.readiness.by_scale import answered
from inventory.queries.readiness.facts import Facts, TrailerOf
from inventory.queries.readiness.masses import NO_ZONE, Carried, Loaded, carried, coded, loaded, told
from inventory.queries.readiness.shifts import moves

MOST_CURES = 6
WEIGH = say("By what was entered; weigh it before you drive.")
ByScale = Mapping[Quantity, Against]
_CAR = frozenset({Quantity.REAR_AXLE, Quantity.CAR, Quantity.TRAIN})
_CAR_PLATES = frozenset({"what the tow car may tow", "ball", "tow bar", "tow car"})


def reasons(facts: Facts) -> list[Note]:
    """What stands against the load of each trailer, and what was found below its plates."""
    if not facts.trailers:
        sentence = say("No trailer is on this trip's card: nothing can be said of its load.")
        about = (str(facts.trip.id),)
        return [Note(sentence, Level.UNKNOWN, page="trips-edit", about=about, code="ready.load_no_trailer")]
    loads = carried(facts)
    notes = list(_nowhere(facts, loads))
    for trailer in facts.trailers:
        notes += _of_trailer(facts, loaded(facts, trailer, loads), loads)
    return notes


def _nowhere(facts: Facts, loads: Sequence[Carried]) -> Iterator[Note]:
    """What comes along without a place: in no trailer, or in one but in no zone of it."""
    rows = [(each.row.name, each.code) for each in facts.gear if each.spot.goes_in is None]
    rows += [(facts.materials[p.material].name, p.code) for p in facts.aboard if p.spot.goes_in is None]
    if rows:
        sentence = say(
            "Into which trailer and zone these go is not said, so no load can be worked out: {things}.",
            things=_listed(name for name, _ in rows),
        )
        codes = tuple(code for _, code in rows[:12])
        yield Note(sentence, Level.UNKNOWN, codes=codes, code="ready.load_nowhere", cures=(_list(facts),))
    for trailer in facts.trailers:
        zones = {place.id for place, _ in trailer.zones}
        loose = [each for each in loads if each.vehicle == trailer.id and each.zone not in zones]
        if loose:
            sentence = say(
                "In {trailer} these lie in no zone, so what they do to the nose is not known: {things}.",
                trailer=trailer.name,
                things=_listed(each.name for each in loose),
            )
            codes = tuple(each.code for each in loose[:12])
            yield Note(sentence, Level.UNKNOWN, codes=codes, code="ready.load_no_zone", cures=(_list(facts),))


def _list(facts: Facts) -> Cure:
    return Cure(say("Say into which zone they go."), page="trips-list", about=(str(facts.trip.id),))


def _listed(names: Iterable[str], most: int = 6) -> str:
    found = list(dict.fromkeys(names))
    return ", ".join(found[:most]) + (" …" if len(found) > most else "")


def _of_trailer(facts: Facts, found: Loaded, loads: Sequence[Carried]) -> Iterator[Note]:
    trailer = found.trailer
    card = {"page": "places-edit", "about": (trailer.code,)}
    if found.missing:
        sentence = say(
            "{trailer}: its load cannot be worked out; its card does not say: {missing}.",
            trailer=trailer.name,
            missing=Listed(found.missing),
        )
        yield Note(sentence, Level.UNKNOWN, WEIGH, code="ready.load_card", cures=(_card(trailer),), **card)  # type: ignore[arg-type]
        return
    if found.refused is not None:
        sentence = say(
            "{trailer}: its load cannot be worked out. {why}",
            trailer=trailer.name,
            why=found.refused.sentence,
        )
        yield Note(sentence, Level.UNKNOWN, found.refused.what_to_do, code=coded(found.refused.code), **card)  # type: ignore[arg-type]
        return
    by_scale = answered(facts, found)
    yield from _not_weighed(facts, found, by_scale)
    yield from _against(facts, found, loads, by_scale)
    yield from _containers(facts, found, by_scale)


def _card(trailer: TrailerOf) -> Cure:
    sentence = say("Read the plates of {trailer}, measure it, and enter them.", trailer=trailer.name)
    return Cure(sentence, page="places-edit", about=(trailer.code,))


def _not_weighed(facts: Facts, found: Loaded, by_scale: ByScale) -> Iterator[Note]:
    """One note for all that has no mass: each of its cards wants one number, or all of it the scale."""
    unknown = [thing for each in found.loads for thing in each.unknown]
    if not unknown:
        return
    names = dict.fromkeys(thing.name for thing in unknown)
    sentence = say(
        "{trailer}: nobody entered what these weigh: {things}. The loads below leave them out.",
        trailer=found.trailer.name,
        things=_listed(names),
    )
    on_scale = {Quantity.GROSS, Quantity.NOSE} <= by_scale.keys()
    yield Note(
        sentence,
        Level.LOOK if on_scale else Level.UNKNOWN,
        say("They were on the scale with all else: what it showed answers.")
        if on_scale
        else say("Enter the weight on the card of each, or weigh the trailer: mass and nose."),
        codes=tuple(thing.code for thing in unknown[:12]),
        code="ready.load_not_weighed",
        cures=tuple(enter_weights(facts, found)),
    )


def _containers(facts: Facts, found: Loaded, by_scale: ByScale) -> Iterator[Note]:
    """Empty containers and bins that nobody weighed count for nothing: said, unless the scale answers."""
    bare = [thing for each in found.loads for thing in each.things if thing.bare]
    bins = [each for each in found.loads if each.id in facts.places]
    if not (bare or bins) or {Quantity.GROSS, Quantity.NOSE} <= by_scale.keys():
        return
    values = {"trailer": found.trailer.name, "count": len(bare) + len(bins)}
    sentence = counted(
        len(bare) + len(bins),
        say("The loads of {trailer} leave out 1 empty container or bin that nobody weighed.", **values),
        say(
            "The loads of {trailer} leave out {count} empty containers and bins that nobody weighed.",
            **values,
        ),
    )
    keys = dict.fromkeys(facts.materials[thing.material] for thing in bare if thing.material)
    cures = [
        Cure(
            say("Enter what the container of {material} weighs, empty.", material=row.name),
            page="materials-edit",
            about=(row.key,),
        )
        for row in list(keys)[:MOST_CURES]
    ]
    yield Note(
        sentence,
        Level.LOOK,
        say("What the trailer weighs, mass and nose, answers for all of them."),
        codes=(*(each.code for each in bare), *(each.code for each in bins))[:12],
        code="ready.load_containers",
        cures=tuple(cures),
    )


def enter_weights(facts: Facts, found: Loaded) -> Iterator[Cure]:
    """The cards that want a weight, each once."""
    seen: set[str] = set()
    for thing in (thing for each in found.loads for thing in each.unknown):
        if thing.name in seen or len(seen) == 6:
            continue
        seen.add(thing.name)
        sentence = say("Enter what {thing} weighs.", thing=thing.name)
        if thing.material is None:
            yield Cure(sentence, page="equipment-edit", about=(thing.code,))
        else:
            yield Cure(sentence, page="materials-edit", about=(facts.materials[thing.material].key,))


def _against(facts: Facts, found: Loaded, loads: Sequence[Carried], by_scale: ByScale) -> Iterator[Note]:
    assert found.load is not None  # noqa: S101 - _of_trailer asked
    unread: list[str] = []
    unknown: list[str] = []
    for line in found.load.against:
        if line.quantity in _CAR and found.trailer.car is None:
            continue
        shown = by_scale.get(line.quantity)
        if line.word is Word.CANNOT_SAY:
            unknown += [
                name for name in line.estimate.missing if not shown and not _said_already(found, name)
            ]
        if line.word is Word.CANNOT_SAY or shown:
            unread += [name for name, kg in line.plates.items() if kg is None and _asked(found, name)]
        if shown and (line.estimate.missing or line.word in (Word.WEIGH, Word.STOP)):
            yield _on_scale(found, line, shown)
        elif line.word is not Word.CANNOT_SAY:
            yield _said(facts, found, line, loads)
    yield from _unread(facts, found, unread, unknown)
    yield from _ends(found)


def _said_already(found: Loaded, name: str) -> bool:
    """Masses of what is loaded and things in no zone have notes of their own."""
    car = found.trailer.car
    of_car = car is not None and name == f"mass of {car.name}"
    return (name.startswith("mass of ") and not of_car) or name.startswith(f"place of {NO_ZONE} ")


def _asked(found: Loaded, plate: str) -> bool:
    """Without a tow car its plates are no question yet."""
    return found.trailer.car is not None or plate not in _CAR_PLATES


def _unread(facts: Facts, found: Loaded, unread: Sequence[str], unknown: Sequence[str]) -> Iterator[Note]:
    """What nobody read or entered, once for the whole trailer; without a tow car, that there is none."""
    trailer = found.trailer
    if trailer.car is None:
        sentence = say(
            "{trailer} has no tow car on this trip's card: what its axle and the train carry cannot be said.",
            trailer=trailer.name,
        )
        yield Note(sentence, Level.UNKNOWN, code="ready.load_no_car", cures=(_to_car(facts, found),))
    if unread:
        sentence = say(
            "{trailer}: cannot say; plate not read: {plates}.", trailer=trailer.name, plates=_listed(unread)
        )
        yield Note(
            sentence, Level.UNKNOWN, WEIGH, code="ready.load_no_plate", cures=tuple(_plates(trailer, unread))
        )
    if unknown:
        sentence = say(
            "{trailer}: cannot say; not known: {missing}.", trailer=trailer.name, missing=_listed(unknown)
        )
        yield Note(sentence, Level.UNKNOWN, WEIGH, code="ready.load_not_known", cures=(_card(trailer),))


def _plates(trailer: TrailerOf, unread: Sequence[str]) -> Iterator[Cure]:
    """The card of the trailer, of its car, or both."""
    of_car = {name for name in unread if name in _CAR_PLATES or "tow car" in name or "train" in name}
    if set(unread) - of_car:
        yield _card(trailer)
    if of_car and trailer.car is not None:
        sentence = say("Read the plates and papers of {car}, and enter them.", car=trailer.car.name)
        yield Cure(sentence, page="places-edit", about=(trailer.car_code,))


def _to_car(facts: Facts, found: Loaded) -> Cure:
    sentence = say("Name what draws {trailer}.", trailer=found.trailer.name)
    return Cure(sentence, page="trips-edit", about=(str(facts.trip.id),))


def _ends(found: Loaded) -> Iterator[Note]:
    """Heavy ends sway, also where they balance on the nose."""
    card = found.trailer.card
    if found.load is None or card.floor_from_mm is None or card.floor_to_mm is None:
        return
    for reason in found.load.verdict.reasons:
        if reason.code == "load.ends" and reason.level is Level.LOOK:
            sentence = say(
                "{trailer}: the load lies {spread} from the axle (root mean square), an even one {even}. "
                "Heavy ends can balance on the nose and still sway.",
                trailer=found.trailer.name,
                spread=metres(found.load.spread_m or 0.0),
                even=metres(found.load.even_spread_m),
            )
            yield Note(sentence, Level.LOOK, how=reason.how, code=coded(reason.code))


def _said(facts: Facts, found: Loaded, line: Against, loads: Sequence[Carried]) -> Note:
    """One quantity that could be judged, and what would help it."""
    values = {
        "trailer": found.trailer.name,
        "quantity": line.quantity,
        "kg": told(line.estimate.kg),
        "give": told(line.estimate.together_kg),
        "plate": line.lowest,
        "limit": None if line.lowest_kg is None else told(line.lowest_kg),
        "over": told(-(line.room_kg or 0.0)),
    }
    worst = max(line.reasons, key=lambda reason: reason.level)
    if line.word is Word.BELOW:
        template = (
            "{trailer}: {quantity} {kg}, give or take {give}, by what was entered; lowest plate: "
            "{plate}, {limit}."
        )
        return Note(say(template, **values), Level.FINE, WEIGH, how=line.how, code="ready.load_below")
    helps = list(moves(facts, found, line, loads))
    return Note(
        _heavy_sentence(worst.code, values),
        worst.level,
        helps[0][0] if helps else WEIGH,
        page="trips-list",
        about=(str(facts.trip.id),),
        how=line.how,
        code=coded(worst.code),
        cures=tuple(cure for _, cure in helps),
    )


def _on_scale(found: Loaded, line: Against, shown: Against) -> Note:
    """What is reckoned of a quantity beside what the scale showed, which answers."""
    values = {
        "trailer": found.trailer.name,
        "quantity": line.quantity,
        "kg": told(line.estimate.kg),
        "give": told(line.estimate.together_kg),
        "shown": told(shown.estimate.kg),
        "off": told(shown.estimate.together_kg),
        "plate": shown.lowest,
        "limit": told(shown.lowest_kg or 0.0),
    }
    if line.estimate.missing:
        template = (
            "{trailer}: {quantity} cannot be reckoned; by what the scale showed it is {shown}, give or take "
            "{off}; lowest plate: {plate}, {limit}."
        )
    else:
        template = (
            "{trailer}: {quantity} {kg}, give or take {give}, by what was entered; by what the scale showed "
            "it is {shown}, give or take {off}; lowest plate: {plate}, {limit}."
        )
    why = say("The scale answers until something is loaded, unloaded or moved.")
    return Note(say(template, **values), Level.FINE, why, how=shown.how, code="ready.load_on_scale")


def helping(facts: Facts, trailer: TrailerOf, loads: Sequence[Carried]) -> list[Note]:
    """What of a trailer is over, or may be, when all of these come along, each with the move that helps."""
    found = loaded(facts, trailer, loads)
    if found.load is None:
        return []
    by_scale = answered(facts, found)
    return [
        _said(facts, found, line, loads)
        for line in found.load.against
        if line.word not in (Word.BELOW, Word.CANNOT_SAY) and (trailer.car or line.quantity not in _CAR)
        if line.quantity not in by_scale
    ]


def _heavy_sentence(code: str, values: dict[str, object]) -> Sentence:
    if code == "load.nose_lifts":
        template = "{trailer}: the nose lifts, {kg}, give or take {give}: it can sway. Move load forward."
        return say(template, **values)
    if code == "load.nose_may_lift":
        template = "{trailer}: the nose may lift, {kg}, give or take {give}. Weigh it, or move load forward."
        return say(template, **values)
    if code == "load.over":
        template = (
            "{trailer}: {quantity} {kg}, give or take {give}, is {over} over its lowest plate "
            "({plate}, {limit})."
        )
        return say(template, **values)
    template = (
        "{trailer}: {quantity} {kg} is within {give} of its lowest plate ({plate}, {limit}). Weigh "
        "it, or move something."
    )
    return say(template, **values)
