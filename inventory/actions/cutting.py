"""WRITE what is cut from sheets, sticks and rolls, and what is glued up to core blanks."""

from collections.abc import Sequence
from uuid import UUID

from inventory.actions import build_steps, closing, mixing
from inventory.actions.ledger import Act, Born, happening
from inventory.actions.refusals import Entry
from inventory.actions.stock import check_in_date, open_by_use
from inventory.compute import moisture
from inventory.compute.build_spec import check_length
from inventory.compute.build_steps import BY_KEY
from inventory.compute.codes import Code, Kind
from inventory.compute.cutting.taken import Size, Some, taken
from inventory.compute.reasons import Level, number
from inventory.compute.steps import Basis
from inventory.compute.units import Amount, Base
from inventory.errors import Refused, say
from inventory.models import Material
from inventory.queries import cutting as queries
from inventory.queries import ledger as read
from inventory.queries import shop, stock
from inventory.queries.cutting import Source
from inventory.queries.cutting_plan import beyond

MOST_BLANKS = 500


@happening
def cut(
    act: Act,
    /,
    *,
    source: UUID,
    pieces: Sequence[Some],
    offcuts: Sequence[Size] = (),
    kerf_mm: float = 0.0,
    lengths: int = 1,
    workshop: UUID | None = None,
    override: str = "",
) -> None:
    """Cut pieces from a package (`lengths`: how many sheets or sticks, all cut alike) or from an offcut.

    Afterwards: a cut batch is born for each size, and an offcut for each piece kept; the source holds that
    much less, and what was lost in kerf and trimmings is written off. An offcut is used up.
    Refused: cutting.not_cut, cutting.no_width, cutting.used_up, and what `compute.cutting.taken` refuses;
    cutting.not_wanted and workshop.closed where a workshop is named; stock.short, stock.on_hold,
    stock.expired, stock.owner_overrides, thing.unborn, step.under_age.
    """
    found = _source(source)
    if workshop is not None:
        _check_wanted(workshop, found, pieces)
    taken_by = taken(
        source=_size(found), lengths=_lengths(found, lengths), pieces=pieces, offcuts=offcuts, kerf_mm=kerf_mm
    )
    build_steps.whose_hands(act, BY_KEY["base-cut"], None)
    facts = check_in_date(act, [source], override)
    open_by_use(act, [source])
    base = Base(found.material.base)
    batches = [(act.born(Kind.CUT_BATCH, base=base), row.size, row.amount) for row in _by_size(pieces)]
    kept = [(act.born(Kind.OFFCUT, base=base), size, size.amount) for size in offcuts]
    made = [*batches, *kept]
    whole = sum(amount for _, _, amount in made)
    act.record(
        "cut",
        inputs=[Entry(source, Amount(whole, base), Basis.COUNTED)],
        outputs=[_out(born, Amount(amount, base), found.place) for born, _, amount in made],
        facts=facts
        | {
            "material": str(found.material.id),
            "made": {str(born.id): _as_kept(size) for born, size, _ in made},
            "kerf_mm": kerf_mm,
            "lost": taken_by.lost,
        }
        | ({"lot": str(found.lot)} if found.lot else {})
        | ({"workshop": str(workshop)} if workshop else {}),
    )
    if taken_by.lost:
        act.record(
            "written off",
            inputs=[Entry(source, Amount(taken_by.lost, base), Basis.FROM_NEEDS)],
            facts={"kerf": True},
        )


def _source(thing: UUID) -> Source:
    found = queries.source(thing)
    if found is None:
        raise Refused(
            "cutting.not_cut",
            say(
                "{thing} is not cut: it is neither a sheet, a stick, a roll nor an offcut.",
                thing=read.name(thing),
            ),
            say("Scan a package that is kept by length or by area, or an offcut."),
        )
    return found


def _size(found: Source) -> Size:
    if found.offcut and not found.left:
        raise Refused(
            "cutting.used_up",
            say("{thing} was cut up before.", thing=read.name(found.thing)),
            say("Scan the one that lies here; undo the first cut if that was recorded in error."),
        )
    if found.size is None:
        if found.left:
            raise Refused(
                "cutting.no_width",
                say("The width of {material} is not known.", material=found.material.name),
                say("Enter the width on its card."),
            )
        raise Refused(
            "cutting.used_up",
            say("Nothing is left of {thing}.", thing=read.name(found.thing)),
            say("Take another one, or count it if there is more."),
        )
    return found.size


def _lengths(found: Source, lengths: int) -> int | None:
    if found.offcut:
        return 1
    return None if found.whole is None else lengths


def _by_size(pieces: Sequence[Some]) -> list[Some]:
    """Equal sizes added up: one batch a size."""
    counts: dict[Size, int] = {}
    for row in pieces:
        counts[row.size] = counts.get(row.size, 0) + row.count
    return [Some(size, count) for size, count in counts.items()]


def _out(born: Born, amount: Amount, place: UUID | None) -> Entry:
    return Entry(born.id, amount, Basis.COUNTED, to=place)


def _as_kept(size: Size) -> list[int]:
    return [size.length_mm] if size.width_mm is None else [size.length_mm, size.width_mm]


def _check_wanted(workshop: UUID, found: Source, pieces: Sequence[Some]) -> None:
    """Refuse more pieces than the pairs booked there still take, and where nothing is built any more.

    Refuses: cutting.not_wanted, workshop.closed
    """
    closing.check_workshop_open(workshop)
    more = beyond(workshop, found.material.id, pieces)
    if more is not None:
        raise Refused(
            "cutting.not_wanted",
            say(
                "No pair booked there takes {count} more of {length} mm.",
                count=more.count,
                length=more.size.length_mm,
            ),
            say("Open the cutting plan again: somebody may have cut them; or cut without naming a workshop."),
        )


@happening
def glue_up(
    act: Act,
    /,
    *,
    blank: UUID,
    count: int,
    length_mm: int,
    wood: Sequence[tuple[UUID, Amount, float | None]],
    glue: UUID,
    glue_amount: Amount,
    code: Code | None = None,
    why: str = "",
    override: str = "",
) -> None:
    """Glue up core blanks from strips of wood. `blank`: the material of the lay-up cards they stand for.

    `wood`: each bundle, how much of it, and its moisture in %, None where nobody read it. `why`: the reason
    to glue wood that is too wet, too dry, or was not read.
    Afterwards: the blanks are there under one code, and each piece of them goes into a ski as a bought one
    does; the moisture read is on record.
    Refused: blank.material, blank.no_wood, blank.not_wood, blank.not_glue, blank.count, blank.moisture,
    wood.moisture, pair.length, layup.cup_apart, stock.short, stock.wrong_unit, stock.not_positive,
    stock.on_hold, stock.expired, stock.owner_overrides, thing.unborn, tag.taken, tag.wrong_kind,
    tag.never_printed, step.under_age.
    """
    _check_blank(blank, count, length_mm)
    _check_wood([thing for thing, _, _ in wood])
    _check_glue(glue)
    codes = {thing: read.name(thing) for thing, _, _ in wood}
    limits = shop.moisture_limits()
    judged = moisture.judge(read_pct={codes[thing]: value for thing, _, value in wood}, limits=limits)
    if judged.level > Level.FINE and not why.strip():
        raise Refused(
            "blank.moisture",
            judged.reasons[0].sentence,
            say(
                "Let it come to {limits} and read it again, or say why it is glued as it is.",
                limits=str(limits),
            ),
        )
    build_steps.whose_hands(act, BY_KEY["blank-glued"], None)
    things = [*(thing for thing, _, _ in wood), glue]
    facts = check_in_date(act, things, override)
    open_by_use(act, things)
    born = act.born(Kind.CORE_BLANK, base=Base.PIECE, code=code)
    state = read.states([wood[0][0]]).get(wood[0][0])
    act.record(
        "glued up",
        inputs=[*(Entry(thing, amount) for thing, amount, _ in wood), Entry(glue, glue_amount)],
        outputs=[Entry(born.id, Amount(count, Base.PIECE), Basis.COUNTED, to=state.place if state else None)],
        facts=facts
        | {
            "material": str(blank),
            "made": {str(born.id): [length_mm]},
            "moisture": {str(thing): value for thing, _, value in wood if value is not None},
        },
        note=why,
    )


def _check_blank(blank: UUID, count: int, length_mm: int) -> None:
    card = Material.objects.filter(id=blank).first()
    if card is None or card.purpose != "blank" or card.base != Base.PIECE:
        raise Refused(
            "blank.material",
            say("What the blanks stand for is no core blank that is kept by the piece."),
            say("Choose the core blank that the lay-up cards name."),
        )
    number(count, code="blank.count", name="The number of blanks", at_least=1, at_most=MOST_BLANKS)
    check_length(length_mm)


def _check_wood(things: Sequence[UUID]) -> None:
    if not things:
        raise Refused("blank.no_wood", say("No wood was scanned."), say("Scan the bundles of strips."))
    wood = {row.thing_id for row in stock.packages(things) if row.lot.material.purpose == "wood"}
    for thing in things:
        if thing not in wood:
            raise Refused(
                "blank.not_wood",
                say("{thing} is no wood for cores.", thing=read.name(thing)),
                say("Scan a bundle of wood; what a material is used as stands on its card."),
            )


def _check_glue(thing: UUID) -> None:
    """A package of glue, or a cup of mixed resin."""
    kind = read.kinds([thing]).get(thing, (None, ""))[0]
    if kind is Kind.RESIN_BATCH:
        mixing.refuse_apart([thing])
    elif not any(row.lot.material.purpose == "glue" for row in stock.packages([thing])):
        raise Refused(
            "blank.not_glue",
            say("{thing} is no glue.", thing=read.name(thing)),
            say("Scan the bottle of glue, or the cup that was mixed for it."),
        )
