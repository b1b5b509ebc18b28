"""WRITE what becomes of a cup: put right once, or thrown away. What is checked before any cup is recorded."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from uuid import UUID

from inventory.actions import build_steps
from inventory.actions.ledger import Act, happening
from inventory.actions.refusals import Entry
from inventory.actions.stock import check_in_date, open_by_use
from inventory.compute import damp, mix
from inventory.compute.build_steps import BY_KEY
from inventory.compute.codes import Kind
from inventory.compute.damp import Air
from inventory.compute.mix import MixVerdict
from inventory.compute.mix import correct as mix_correct
from inventory.compute.mix.correct import Advice, Bench, Correction
from inventory.compute.mix.pour import looks_like_ounces
from inventory.compute.mix.ratio import Pour
from inventory.compute.reasons import Basis as Known
from inventory.compute.reasons import Given, How, Level
from inventory.compute.steps import Basis
from inventory.compute.units import Amount, Base, show
from inventory.errors import Refused, Sentence, say
from inventory.models import Material
from inventory.queries import cups, stock
from inventory.queries import ledger as read
from inventory.queries import mixing as queries
from inventory.queries.cups import Cup

_BY_WEIGHTS = ("mix.ratio_stop", "mix.ratio_off", "mix.ratio_fits", "mix.discard")
PARTS = {Advice.ADD_RESIN: "resin", Advice.ADD_HARDENER: "hardener"}


@dataclass(frozen=True, slots=True)
class Product:
    """What a cup of two parts is judged by."""

    per_hundred: Given[float]
    largest_cup_mg: Given[int] | None
    pot_life: list[float | None] | None


def check_purpose(package: UUID, purpose: str, code: str) -> None:
    """Refuse what is not the part that was asked for."""
    if stock.purpose_of(package) != purpose:
        raise Refused(
            code,
            say("{thing} is no {purpose}.", thing=read.name(package), purpose=purpose),
            say("Scan the {purpose} jug.", purpose=purpose),
        )


def fitting(resin: UUID, hardener: UUID, per_hundred: float | None) -> Product:
    """The product these two jugs make, by their cards.

    Refuses: mix.other_resin, mix.no_ratio, mix.other_ratio
    """
    found = queries.product_of(resin, hardener)
    _check_partner(found.resin, found.hardener)
    sheet = found.per_hundred
    if sheet is None and per_hundred is None:
        raise Refused(
            "mix.no_ratio",
            say("How much hardener goes to 100 g of resin is not known."),
            say("Enter it on the hardener's card, from its data sheet."),
        )
    if sheet is not None and per_hundred is not None and sheet.value != per_hundred:
        raise Refused(
            "mix.other_ratio",
            say(
                "The hardener's card says {card} g to 100 g of resin, not {said} g.",
                card=sheet.value,
                said=per_hundred,
            ),
            say("Read the data sheet again; put the card right if it is wrong."),
        )
    ratio = sheet or Given(per_hundred or 0.0, Known.DATA_SHEET)
    return Product(ratio, found.largest_cup_mg, found.pot_life)


def _check_partner(resin: Material | None, hardener: Material | None) -> None:
    if resin is None or hardener is None or hardener.resin_id in (None, resin.id):
        return
    raise Refused(
        "mix.other_resin",
        say("{hardener} is not made for {resin}.", hardener=hardener.name, resin=resin.name),
        say("Take the resin that its card names, or the hardener of this resin."),
    )


def check_air(air: Air | None) -> None:
    """Refuse air or surfaces that a lay-up does not stand: `mix.wet`."""
    if air is None:
        return
    verdict = damp.measured(air=air).verdict
    if verdict.level is Level.STOP:
        raise Refused(
            "mix.wet",
            verdict.reasons[0].sentence,
            say("Warm the cold part, dry the air, turn the heater off; measure again before mixing."),
        )


def check_unit(resin_mg: int, hardener_mg: int, asked: tuple[int, int]) -> None:
    """Refuse weights that look as if the scale showed ounces: `mix.ounces`."""
    wanted = Pour(asked[0], asked[1], How("", ""))
    if min(resin_mg, hardener_mg) > 0 and looks_like_ounces(
        resin_mg=resin_mg, hardener_mg=hardener_mg, asked=wanted
    ):
        raise Refused(
            "mix.ounces",
            say(
                "{resin} and {hardener} were typed; 28 times that was asked: is the scale in ounces?",
                resin=str(show(amount=Amount(resin_mg, Base.MG), unit="GRM")),
                hardener=str(show(amount=Amount(hardener_mg, Base.MG), unit="GRM")),
            ),
            say("Type the unit with the weight, as in 4.2 oz, or set the scale to grams."),
        )


def judged(
    product: Product, resin_mg: int, hardener_mg: int, step_mg: int | None, *, apart: bool = False
) -> MixVerdict:
    """The verdict on these weights; a cup that is set apart may be off its ratio.

    Refuses: mix.off, mix.above_cup, and what `compute.mix.judge` refuses.
    """
    found = mix.judge(
        resin_mg=resin_mg,
        hardener_mg=hardener_mg,
        hardener_per_hundred=product.per_hundred,
        scale_step_mg=step_mg,
        largest_cup_mg=product.largest_cup_mg,
    )
    if found.verdict.level is not Level.STOP or apart:
        return found
    worst = found.reasons[0]
    if worst.code == "mix.above_largest_cup":
        raise Refused(
            "mix.above_cup",
            worst.sentence,
            say("Keep clear of it; spread it out thin at once outdoors, or let it be. Mix smaller cups."),
        )
    raise Refused(
        "mix.off",
        worst.sentence,
        say("Do not spread it. Set the cup apart and mix anew in a clean one."),
    )


def told(
    product: Product,
    verdict: MixVerdict,
    skis: Sequence[UUID],
    *,
    air: Air | None,
    scale_step_mg: int | None,
) -> dict[str, object]:
    """What the event of a cup keeps of how it was mixed."""
    facts: dict[str, object] = {
        "hardener_per_hundred": product.per_hundred.value,
        "ratio_error": verdict.ratio_error,
        "for": [str(ski) for ski in skis],
    }
    if product.pot_life is not None:
        facts["pot_life"] = product.pot_life
    if air is not None:
        facts["air"] = {
            "air_c": air.air_c,
            "humidity_pct": air.humidity_pct,
            "surface_c": air.surface_c,
            "fuel_heater": air.fuel_heater,
        }
    if scale_step_mg is not None:
        facts["scale_step_mg"] = scale_step_mg
    return facts


def advice(cup: Cup, product: Product, seen: Bench, step_mg: int | None) -> Correction:
    """What to do with a cup, by what a person sees at the bench."""
    return mix_correct.correct(
        resin_mg=cup.resin_mg,
        hardener_mg=cup.hardener_mg,
        hardener_per_hundred=product.per_hundred,
        bench=seen,
        largest_cup_mg=product.largest_cup_mg,
        scale_step_mg=step_mg if step_mg is not None else cup.scale_step_mg,
    )


def refuse_apart(things: Sequence[UUID]) -> None:
    """Refuse cups that were set apart: `layup.cup_apart`."""
    for thing in cups.apart(things):
        raise Refused(
            "layup.cup_apart",
            say("{thing} was set apart: it is off its ratio.", thing=read.name(thing)),
            say("Put it right if its page says that it may be, or discard it and mix anew."),
        )


@happening
def correct_mix(
    act: Act,
    /,
    *,
    batch: UUID,
    package: UUID,
    added_mg: int,
    tare_checked: bool,
    cup_cool: bool,
    scale_step_mg: int | None = None,
    override: str = "",
) -> None:
    """Put a cup right once: what was missing is weighed in, and it is mixed again in a clean cup.

    Afterwards: the new batch holds both, the old one nothing; the working time runs on from when the two
    parts first met.
    Refused: mix.no_cup, mix.no_correction, mix.not_resin, mix.not_hardener, mix.off, mix.above_cup,
    stock.short, stock.on_hold, stock.expired, stock.owner_overrides, stock.not_positive, step.under_age.
    """
    cup = _cup(act, batch)
    build_steps.whose_hands(act, BY_KEY["mix"], None)
    product = product_of(cup)
    seen = Bench(tare_checked, cup_cool, not cup.whole, cup.corrected, cup.used_share)
    found = advice(cup, product, seen, scale_step_mg)
    part = PARTS.get(found.advice)
    if part is None:
        raise Refused(
            "mix.no_correction",
            _against(found),
            say("Leave it as it is where it is within its limits; else discard it and mix anew."),
        )
    check_purpose(package, part, "mix.not_resin" if part == "resin" else "mix.not_hardener")
    resin_mg = cup.resin_mg + (added_mg if part == "resin" else 0)
    hardener_mg = cup.hardener_mg + (added_mg if part == "hardener" else 0)
    verdict = judged(product, resin_mg, hardener_mg, scale_step_mg or cup.scale_step_mg)
    facts = check_in_date(act, [package], override)
    open_by_use(act, [package])
    again = act.born(Kind.RESIN_BATCH, base=Base.MG)
    whole = resin_mg + hardener_mg
    act.record(
        "mix corrected",
        inputs=[
            Entry(batch, cup.left, Basis.WEIGHED),
            Entry(package, Amount(added_mg, Base.MG), Basis.WEIGHED),
        ],
        outputs=[Entry(again.id, Amount(whole, Base.MG), Basis.WEIGHED)],
        facts=facts
        | _carried(batch)
        | {
            "ratio_error": verdict.ratio_error,
            "since": cup.since.isoformat(),
            "parts": [resin_mg, hardener_mg],
            "of": [str(one) for one in cup.packages],
        },
    )


def _against(found: Correction) -> Sentence:
    """What speaks against putting a cup right: what was seen at the bench before what the weights say."""
    reasons = found.verdict.reasons
    return next((reason for reason in reasons if reason.code not in _BY_WEIGHTS), reasons[0]).sentence


def _carried(batch: UUID) -> dict[str, object]:
    """What the first cup's event said, without what was its own."""
    before = cups.facts_of(batch)
    return {key: value for key, value in before.items() if key not in ("apart", "override", "past_date")}


def _cup(act: Act, batch: UUID) -> Cup:
    found = cups.cup(batch, act.at)
    if found is None or found.left.value == 0:
        raise Refused(
            "mix.no_cup",
            say("{thing} is no cup with anything in it.", thing=read.name(batch)),
            say("Scan the code that was written on the cup."),
        )
    return found


def product_of(cup: Cup) -> Product:
    """The product a cup was mixed of; its ratio is the one it was mixed by."""
    found = queries.product_of(*cup.packages[:2]) if len(cup.packages) > 1 else queries.Product(None, None)
    return Product(Given(cup.per_hundred, Known.DATA_SHEET), found.largest_cup_mg, found.pot_life)


@happening
def discard_cup(act: Act, /, *, batch: UUID, why: str) -> None:
    """Throw away what is left in a cup: off its ratio, set, or simply too much.

    Afterwards: nothing is left in it, and what was wasted is on record beside what the skis took.
    Refused: mix.no_cup, stock.no_reason.
    """
    if not why.strip():
        raise Refused(
            "stock.no_reason", say("A write-off needs a reason."), say("Say in a few words what happened.")
        )
    cup = _cup(act, batch)
    share = Fraction(cup.left.value, cup.resin_mg + cup.hardener_mg)
    act.record(
        "written off",
        inputs=[Entry(batch, cup.left, Basis.WEIGHED)],
        facts={"waste": True, "share": round(float(share), 4)},
        note=why,
    )
