"""Whether stock past its date may be used a little longer after a re-test. The maker decides, this reckons.

Knows no lot and no clock. Never extends what the maker does not allow to be extended.
"""

from calendar import monthrange
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from inventory.compute.mix.ratio import exact
from inventory.compute.reasons import How, Input, Level, Reason, Verdict, number, verdict
from inventory.compute.storage import FIRST_YEAR, LAST_YEAR
from inventory.errors import Refused, say

MOST_MONTHS = 3
WITHIN_K = 1
WITHIN_PCT = 20
RULE = (
    "one extension of at most 3 months from its date: beside a fresh control from the same bath, within 1 K, "
    "gel time within 20 % of the control's, hardness and a peel or bend coupon as the control's"
)
SOURCE = "common practice, no source; the maker's word outranks it"


class Chemistry(StrEnum):
    """What kind of stock it is, as far as a re-test asks."""

    EPOXY_RESIN = "epoxy resin"
    AMINE_HARDENER = "amine hardener"
    CYANOACRYLATE = "cyanoacrylate"
    ISOCYANATE = "isocyanate"
    OTHER = "other"


NEVER = frozenset({Chemistry.CYANOACRYLATE, Chemistry.ISOCYANATE})


@dataclass(frozen=True, slots=True)
class Trial:
    """One small cup: minutes to gel, and the bath it stood in."""

    gel_min: float
    bath_c: float


@dataclass(frozen=True, slots=True)
class Standing:
    """What is known of the stock; None where nobody knows, which never counts in its favour."""

    chemistry: Chemistry | None
    maker_allows: bool | None
    held: bool | None
    recalled: bool | None
    extended_before: bool | None


@dataclass(frozen=True, slots=True)
class Retest:
    """The last day the stock may be used, or None when it may not be extended."""

    extended_through: date | None
    verdict: Verdict
    how: How


def retest(
    *,
    good_through: date,
    months: int,
    standing: Standing,
    old: Trial,
    control: Trial,
    hardness_as_control: bool | None,
    coupon_as_control: bool | None,
) -> Retest:
    """Whether a re-tested lot may be used for a few more months.

    Formula: extended through = its date + months, at most 3, when every condition holds: the maker allows it,
        never extended before, not held, not recalled, no cyanoacrylate, no isocyanate; both baths within 1 K;
        |old gel time / control gel time - 1| <= 20 %; hardness and a peel or bend coupon as the control's.
        What nobody knows counts against it.
    Units: dates, whole months, minutes, °C.
    Refuses: retest.date, retest.months, retest.gel, retest.bath
    Source: common practice, no source; the maker's word outranks it.
    Caution: Outdoors, on concrete, in a small cup, with the gloves the data sheet asks for.
    """
    plain = isinstance(good_through, date) and not isinstance(good_through, datetime)
    if not plain or not FIRST_YEAR <= good_through.year <= LAST_YEAR:
        sentence = say("Its date is {day}, not a possible day.", day=good_through)
        raise Refused("retest.date", sentence, say("Read the date on the label again."))
    _check_months(months)
    for trial, name in ((old, "The old stock"), (control, "The control")):
        number(
            trial.gel_min, code="retest.gel", name=f"{name}, gel time", unit="min", at_least=0.1, at_most=1e5
        )
        number(trial.bath_c, code="retest.bath", name=f"{name}, bath", unit="°C", at_least=0, at_most=100)
    how = How(
        RULE,
        SOURCE,
        (
            Input("its date", good_through),
            Input("months asked", months),
            Input("gel time", old.gel_min, "min"),
            Input("control's gel time", control.gel_min, "min"),
            Input("bath", old.bath_c, "°C"),
            Input("control's bath", control.bath_c, "°C"),
            Input("hardness as control", hardness_as_control),
            Input("coupon as control", coupon_as_control),
        ),
    )
    against = [*_by_standing(standing, how), *_by_trial(old, control, how)]
    against += _by_seen(hardness_as_control, coupon_as_control, how)
    if against:
        return Retest(None, verdict(*against), how)
    through = _months_later(good_through, months)
    sentence = say("Re-tested: it may be used through {day}, once.", day=through)
    return Retest(through, verdict(Reason("retest.extended", sentence, Level.LOOK, how)), how)


def _by_standing(standing: Standing, how: How) -> list[Reason]:
    found = []
    if standing.chemistry is None or standing.chemistry in NEVER:
        sentence = say("Stock of this kind ({kind}) is never extended.", kind=standing.chemistry or "unknown")
        found.append(Reason("retest.never", sentence, Level.STOP, how))
    if not standing.maker_allows:
        sentence = say("The maker does not allow it to be re-tested, or nobody asked.")
        found.append(Reason("retest.maker", sentence, Level.STOP, how))
    if standing.extended_before is not False:
        sentence = say("It was extended before, or nobody knows: once is all.")
        found.append(Reason("retest.extended_before", sentence, Level.STOP, how))
    if standing.held is not False or standing.recalled is not False:
        sentence = say("It is held or recalled, or nobody knows.")
        found.append(Reason("retest.held", sentence, Level.STOP, how))
    return found


def _by_trial(old: Trial, control: Trial, how: How) -> list[Reason]:
    found = []
    apart = abs(exact(old.bath_c) - exact(control.bath_c))
    if apart > WITHIN_K:
        sentence = say(
            "The two baths are {apart} K apart, more than {most} K.",
            apart=round(float(apart), 2),
            most=WITHIN_K,
        )
        found.append(Reason("retest.baths_apart", sentence, Level.STOP, how))
    if abs(exact(old.gel_min) / exact(control.gel_min) - 1) * 100 > WITHIN_PCT:
        sentence = say(
            "It gels in {old} min, the control in {control} min: more than {most} % apart.",
            old=old.gel_min,
            control=control.gel_min,
            most=WITHIN_PCT,
        )
        found.append(Reason("retest.gel_off", sentence, Level.STOP, how))
    return found


def _by_seen(hardness: bool | None, coupon: bool | None, how: How) -> list[Reason]:
    found = []
    if not hardness:
        sentence = say("Its hardness is not as the control's, or nobody tried it.")
        found.append(Reason("retest.hardness", sentence, Level.STOP, how))
    if not coupon:
        sentence = say("Its peel or bend coupon is not as the control's, or nobody tried one.")
        found.append(Reason("retest.coupon", sentence, Level.STOP, how))
    return found


def _check_months(months: int) -> None:
    number(months, code="retest.months", name="The months asked for", at_least=1, at_most=MOST_MONTHS)
    if not isinstance(months, int):
        sentence = say("The months asked for are {months}, not a whole number.", months=months)
        raise Refused("retest.months", sentence, say("Ask for 1, 2 or 3 months."))


def _months_later(day: date, months: int) -> date:
    """The same day some months later, or the last day of that month."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))
