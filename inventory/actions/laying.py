"""WRITE a lay-up layer by layer: each scan is a layer on record, in order, and a dead phone loses none."""

from collections.abc import Sequence
from uuid import UUID

from inventory.actions import closing, mixing
from inventory.actions.ledger import Act, happening
from inventory.actions.press import check_one_blank, check_sheet, hands_of
from inventory.actions.refusals import Entry
from inventory.actions.stock import check_in_date, open_by_use
from inventory.compute.codes import Kind
from inventory.compute.steps import Basis
from inventory.compute.units import Amount, Base
from inventory.errors import Refused, say
from inventory.models import Pair
from inventory.queries import laying as queries
from inventory.queries import ledger as read
from inventory.queries.cutting import made, piece_for
from inventory.queries.laying import TOP, Layer, State

ENOUGH = 0.9  # of what a wet layer needs


@happening
def lay_layer(
    act: Act,
    /,
    *,
    ski: UUID,
    thing: UUID,
    amount: Amount | None = None,
    weighed: bool = False,
    instead: str = "",
    override: str = "",
    doer: UUID | None = None,
) -> None:
    """Lay the next layer of one ski: a package or a cup, or the code in a printed top sheet.

    `amount`: as weighed or measured; what the ski needs when left out, and marked so. `instead`: why another
    material than the card's is taken.
    Afterwards: the ski holds it; with the last layer it is laid up.
    Refused: layup.not_a_ski, layup.no_card, layup.whole, layup.layer_missed, layup.other_material,
    layup.no_need, layup.too_short, layup.other_sheet, layup.no_sheet, layup.second_blank, layup.cup_apart,
    layup.cup_empty, stock.short, stock.on_hold, stock.expired, stock.owner_overrides, stock.wrong_unit,
    stock.not_positive, thing.unborn, step.under_age, step.age_unknown, step.doer_unknown,
    step.other_workshop.
    """
    state = _state(ski)
    hands = hands_of(act, "lay-up", doer, [ski])
    layer, thing, instead = _layer(act, state, thing, instead)
    check_one_blank(ski, [thing])
    mixing.refuse_apart([thing])
    taken = amount or _from_needs(state.pair, layer, thing)
    facts = check_in_date(act, [thing], override) | {"layer": layer.number} | hands
    open_by_use(act, [thing])
    act.record(
        "layer added",
        inputs=[Entry(thing, taken, Basis.WEIGHED if amount and weighed else _basis(amount, layer))],
        gains=[Entry(ski)],
        facts=facts | ({"instead": True} if instead else {}),
        note=instead,
    )
    if all(other.done or other.number == layer.number for other in state.layers) and _enough(layer, taken):
        act.record("laid up", gains=[Entry(ski)], facts={"layers": len(state.layers)} | hands)


def _enough(layer: Layer, taken: Amount) -> bool:
    """False while a wet layer has clearly less than it needs: another cup follows."""
    if not layer.wet or layer.need is None:
        return True
    whole = taken.value + sum(laid.amount.value for laid in layer.laid if laid.amount)
    return whole >= ENOUGH * layer.need.value


def _basis(amount: Amount | None, layer: Layer) -> Basis:
    if amount is None:
        return Basis.COUNTED if layer.base == Base.PIECE else Basis.FROM_NEEDS
    return Basis.UNSAID


def _state(ski: UUID) -> State:
    state = queries.state(ski)
    if state is None:
        raise Refused(
            "layup.not_a_ski", say("{thing} is no ski.", thing=read.name(ski)), say("Scan the ski's tag.")
        )
    closing.check_open([ski])
    if not state.layers:
        raise Refused(
            "layup.no_card",
            say("{ski} has no lay-up card to lay up by.", ski=read.name(ski)),
            say("Choose its card on its spec, or record the lay-up in one go."),
        )
    if state.whole:
        raise Refused(
            "layup.whole",
            say("{ski} is laid up already.", ski=read.name(ski)),
            say("Check that this is the right ski; undo its last layer if that was recorded in error."),
        )
    return state


def _layer(act: Act, state: State, thing: UUID, instead: str) -> tuple[Layer, UUID, str]:
    """The layer that this thing is for, what is taken, and why another was taken, where it was."""
    kind, _ = read.kinds([thing]).get(thing, (None, ""))
    following = state.next
    if kind in (Kind.SKI, Kind.PAIR):
        return _sheet(act, state, thing), _sheet_package(act, state), ""
    if kind is Kind.RESIN_BATCH:
        wet = following if following is not None and following.wet else state.open_wet
        if wet is not None:
            return wet, thing, ""
    key, name, length = queries.material_of(thing)
    fitting = [layer for layer in state.layers if not layer.done and layer.key == key and not layer.wet]
    if following is not None and following in fitting:
        _check_length(state, following, thing, length)
        return following, thing, ""
    if fitting or (kind is Kind.RESIN_BATCH and any(layer.wet and not layer.done for layer in state.layers)):
        raise Refused(
            "layup.layer_missed",
            say(
                "Layer {number}, {material}, comes first.",
                number=following.number if following else 0,
                material=following.material if following else "",
            ),
            say("Lay it, then scan this again."),
        )
    if following is not None and instead.strip() and name:
        return following, thing, instead
    raise Refused(
        "layup.other_material",
        say(
            "{thing} is {found}; layer {number} is {wanted}.",
            thing=read.name(thing),
            found=name or say("no layer"),
            number=following.number if following else len(state.layers),
            wanted=following.material if following else say("laid"),
        ),
        say("Scan what the card names; say why where you take this instead."),
    )


def _sheet(act: Act, state: State, printed: UUID) -> Layer:
    """The top sheet's layer, for the code that its artwork carries."""
    check_sheet(state.ski, printed)
    following = state.next
    if following is not None and following.purpose in TOP:
        return following
    raise Refused(
        "layup.layer_missed",
        say(
            "Layer {number}, {material}, comes first.",
            number=following.number if following else 0,
            material=following.material if following else "",
        ),
        say("Lay it, then scan the sheet again."),
    )


def _sheet_package(act: Act, state: State) -> UUID:
    """The package that a printed sheet comes out of."""
    following = state.next
    found = queries.first_sheet(following.key, act.by.now) if following else None
    if found is None:
        raise Refused(
            "layup.no_sheet",
            say("No package of printed sheets is in the books that one may be taken of."),
            say("Receive the sheets first, or scan their package."),
        )
    return found


def _check_length(state: State, layer: Layer, thing: UUID, length: float | None) -> None:
    """Refuse what is shorter than the ski, a blank of another size; of cut pieces, than the layer reaches."""
    piece = piece_for(state.pair, layer.number) if thing in made([thing]) else None
    if length is None or length >= (piece.size.length_mm if piece else state.pair.length_mm):
        return
    raise Refused(
        "layup.too_short",
        say(
            "{thing} is {length} mm long, and the ski {ski} mm.",
            thing=read.name(thing),
            length=length,
            ski=state.pair.length_mm,
        ),
        say("Take one of the ski's length."),
    )


def _from_needs(pair: Pair, layer: Layer, thing: UUID) -> Amount:
    """What the ski needs of a layer; of a cup no more than is in it; of a cut batch whole pieces."""
    base = read.kinds([thing])[thing][1]
    cut = made([thing]).get(thing)
    if cut is not None and cut.kind is not Kind.CORE_BLANK:
        piece = piece_for(pair, layer.number)
        if piece is not None:
            return Amount(piece.count * cut.size.amount, Base(base))
    if base == Base.PIECE:
        return Amount(layer.need.value if layer.need and layer.need.base == Base.PIECE else 1, Base.PIECE)
    if layer.need is None or layer.need.base != base:
        raise Refused(
            "layup.no_need",
            say("How much of {material} the ski takes is not known.", material=layer.material),
            say("Weigh or measure it, and enter it; or enter the ski's widths on its spec."),
        )
    if not layer.wet:
        return layer.need
    left = queries.left_in(thing)
    if left == 0:
        raise Refused(
            "layup.cup_empty", say("{thing} is empty.", thing=read.name(thing)), say("Scan the next cup.")
        )
    return Amount(min(layer.need.value, left), layer.need.base)


@happening
def end_lay_up(act: Act, /, *, ski: UUID, why: str, doer: UUID | None = None) -> None:
    """Say that a ski is laid up although layers of its card are not in it, and why.

    Afterwards: it is laid up, and which layers were left out stays on record.
    Refused: layup.not_a_ski, layup.no_card, layup.whole, layup.nothing, layup.no_why, step.under_age,
    step.age_unknown, step.doer_unknown, step.other_workshop.
    """
    state = _state(ski)
    hands = hands_of(act, "lay-up", doer, [ski])
    if not state.count:
        raise Refused(
            "layup.nothing", say("Nothing was scanned to lay up."), say("Scan the blank and the batch.")
        )
    if not why.strip():
        raise Refused(
            "layup.no_why",
            say("Layers are missing, and nobody said why."),
            say("Say in a few words why they are left out."),
        )
    left_out: Sequence[int] = [layer.number for layer in state.layers if not layer.done]
    act.record("laid up", gains=[Entry(ski)], facts={"left_out": left_out} | hands, note=why)
