"""Made-up values for the page of parts, one of every kind. Knows no row: none of it exists elsewhere."""

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime

import django_tables2
from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.compute import codes
from inventory.compute.reasons import Basis, How, Input, Level, Reason, verdict
from inventory.errors import Refused, Sentence, say
from inventory.templatetags import parts
from inventory.templatetags.sums import Sum


def _code(letter: str) -> codes.Code:
    return codes.make(letter=letter, machine="A", seed=letter.encode())


EDGE_HOW = How(
    rule="needed = running edge x 2 skis x (1 + waste)",
    source="inventory/docs: how a need is computed",
    inputs=(
        Input("Running edge, two skis, full wrap", 7.24, "m", Basis.MEASURED),
        Input("Cutting waste", 5, "%", Basis.LEARNED),
        Input("Shortest piece worth keeping", 0.3, "m", Basis.ASSUMED),
        Input("Edge steel, width of the foot", 6, "mm", Basis.DATA_SHEET),
    ),
)
_SPARE = (Input("Running edge, two skis, full wrap", 6.9, "m", Basis.MEASURED), *EDGE_HOW.inputs[1:])
ANSWER = verdict(
    Reason(
        "sample.short",
        say(
            "Edge is short by {short} m; bundle {code} in the loft has {left} m.",
            short=4.1,
            code=_code("P"),
            left=22,
        ),
        Level.STOP,
        EDGE_HOW,
    ),
    Reason(
        "sample.weight",
        say("The nose weight of {trailer} was never weighed.", trailer=_code("T")),
        Level.UNKNOWN,
    ),
    Reason(
        "sample.ages",
        say("Jug {jug} passes its date on {day}.", jug=_code("P"), day=date(2026, 12, 3)),
        Level.LOOK,
    ),
    Reason("sample.enough", say("31 materials are enough and in date."), Level.FINE),
    Reason(
        "sample.power", say("Power: {used} of {held} kW on the generator.", used=5.9, held=7.2), Level.FINE
    ),
)


@dataclass(frozen=True, slots=True)
class DayLine:
    """A sentence of the day sheet, as the notes part takes it beside compute's reasons."""

    level: Level
    sentence: Sentence
    why: Sentence
    url: str


class SampleForm(forms.Form):
    """Each kind of field once."""

    amount = forms.CharField(label=_("Amount poured"), help_text=_("With its unit: 500 g, 1.2 kg, 18 oz."))
    lot = forms.CharField(label=_("Lot, as printed"), required=False)
    place = forms.ChoiceField(
        label=_("Where to"), choices=[("loft", _("Loft, bin 7")), ("stoat", _("Stoat, zone 2"))]
    )
    state = forms.ChoiceField(
        label=_("What is wrong"),
        choices=[("open", _("A layer opens")), ("edge", _("An edge came loose"))],
        widget=forms.RadioSelect,
    )
    checked = forms.BooleanField(label=_("Gauge reads zero"), help_text=_("Look at the gauge itself."))
    note = forms.CharField(label=_("Note"), widget=forms.Textarea(attrs={"rows": 3}), required=False)


class SampleTable(django_tables2.Table):
    """A table as every list has it."""

    what = django_tables2.Column(verbose_name=_("What"))
    lot = django_tables2.Column(verbose_name=_("Lot, as printed"))
    package = django_tables2.Column(verbose_name=_("Package"), orderable=False)
    left = django_tables2.Column(verbose_name=_("Left"), attrs={"cell": {"class": "num"}})
    state = django_tables2.Column(verbose_name=_("State"), orderable=False)

    class Meta:
        template_name = "inventory/parts/table.html"
        empty_text = _("Nothing is stored here yet.")

    def render_package(self, value: codes.Code) -> str:
        """The package's code as a chip."""
        return parts.chip(value)

    def render_left(self, value: tuple[float, str]) -> str:
        """The amount with its unit."""
        return parts.amount(*value)

    def render_state(self, value: tuple[str, str]) -> str:
        """Shape and word."""
        return parts.mark(*value)


ROWS = [
    {
        "what": "Resin",
        "lot": "N-7741-B",
        "package": _code("P"),
        "left": (12.4, "kg"),
        "state": ("fine", "in date"),
    },
    {"what": "Hardener", "lot": "2511", "package": _code("F"), "left": (640, "g"), "state": ("look", "ages")},
    {"what": "Edge", "lot": "E-19", "package": _code("G"), "left": (3.5, "m"), "state": ("stop", "on hold")},
    {
        "what": "Glass",
        "lot": "TX 0318",
        "package": _code("D"),
        "left": (18.2, "m²"),
        "state": ("unknown", "no date"),
    },
]


def samples() -> dict[str, object]:
    """The context of the page of parts."""
    return {
        "levels": list(Level),
        "answer": ANSWER,
        "answer_why": say("Two things stop the trip, one is not known."),
        "all_fine": verdict(*(reason for reason in ANSWER.reasons if reason.level is Level.FINE)),
        "sums": [
            Sum(say("Edge is short by {short} m.", short=4.1), Level.STOP, EDGE_HOW, "sum-edge"),
            Sum(say("Edge for the spare pair."), Level.FINE, replace(EDGE_HOW, inputs=_SPARE), "sum-spare"),
        ],
        "day_lines": [
            DayLine(
                Level.STOP,
                say("Leave for Kvitskard on Friday: not ready."),
                say("Two things are in the way. Both can be put right from here."),
                "#verdict",
            ),
            DayLine(
                Level.LOOK,
                say("Press 2: the hose inspection is due on Saturday."),
                say("The press cannot be started after that day until it is recorded."),
                "#verdict",
            ),
        ],
        "form": SampleForm(),
        "wrong_form": SampleForm({"amount": "", "state": "none", "place": "loft"}, auto_id="wrong_%s"),
        "table": SampleTable(ROWS, order_by="what"),
        "empty_table": SampleTable([]),
        "refused": Refused(
            "stock.short",
            say(
                "Jug {code} holds {left} g, less than the {asked} g asked for.",
                code=_code("P"),
                left=640,
                asked=700,
            ),
            say("Take what is left, or scan another jug."),
        ),
        "code": _code("S"),
        "at": datetime(2026, 12, 4, 13, 10, tzinfo=UTC),
    }
