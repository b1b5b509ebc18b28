"""Parts and filters: they hold whatever they are given, and write sentences, dates and numbers for people."""

import math
import re
from datetime import UTC, date, datetime
from decimal import Decimal
from types import SimpleNamespace

import pytest
from django import forms
from django.utils import translation
from hypothesis import assume, given
from hypothesis import strategies as st

from inventory.compute import codes
from inventory.compute.reasons import Basis, How, Input, Level, Reason, verdict
from inventory.compute.units import Amount, Base, Spoken
from inventory.errors import say
from inventory.forms import reader, sentences
from inventory.templatetags import parts
from inventory.views.samples import samples
from tests.views.markup import URLS, drawn, page, read


@pytest.fixture(autouse=True)
def addresses(settings):
    """The few addresses the parts lead to, so that this file needs no page of the shop."""
    settings.ROOT_URLCONF = URLS


# --- parts, whatever they are given ---------------------------------------------------------------------

MARKUP = '<script>alert(1)</script><b onclick="x">&amp;\''
ODD = {
    "markup": MARKUP,
    "right to left": "סקי \u202eשמאל",
    "long": "x" * 10_000,
    "empty": "",
    "nothing": None,
    "braces": "{amount} {0} %s {% now %}",
    "number": -0.0,
    "sentence": say("Lot {lot} of {what}.", lot=MARKUP, what="سكي"),
    "list": [MARKUP, None],
}


class MayForm(forms.Form):
    """One of each sort that needs no answer, and one that needs one."""

    note = forms.CharField(required=False)
    name = forms.CharField()
    sort = forms.ChoiceField(choices=[("", "not said"), ("a", "A")], required=False)
    ways = forms.MultipleChoiceField(
        choices=[("a", "A")], required=False, widget=forms.CheckboxSelectMultiple
    )


class OddForm(forms.Form):
    """A form whose every text is odd."""

    def __init__(self, odd: object, **kwargs):
        super().__init__({"line": str(odd)}, **kwargs)
        wrong = forms.CharField(
            label=odd, help_text=odd, max_length=1, error_messages={"max_length": str(odd).replace("%", "%%")}
        )
        self.fields["line"] = wrong
        self.fields["pick"] = forms.ChoiceField(
            label=odd, choices=[("a", str(odd))], widget=forms.RadioSelect
        )
        self.fields["tick"] = forms.BooleanField(label=odd, help_text=odd)


def _odd_reason(odd: object) -> Reason:
    sentence = odd if hasattr(odd, "template") else say("{odd}", odd=odd)
    how = How(str(odd), str(odd), (Input(str(odd), odd, str(odd), Basis.ASSUMED),))
    return Reason("sample.odd", sentence, Level.STOP, how, {"why": odd})


PARTS = {
    "mark": '{% mark "look" odd %}{% mark odd odd %}{% mark odd %}',
    "amount": "{% amount odd odd %}",
    "chip": "{% chip odd %}{% chip odd odd %}",
    "verdict": "{% verdict answer odd odd %}{% verdict odd odd %}",
    "notes": "{% notes answer %}{% notes answer.reasons %}{% notes odd %}",
    "how": "{% how reason.how %}",
    "field": "{% field form.line odd %}{% field form.pick %}{% field form.tick %}",
    "empty": "{% empty odd odd odd %}",
    "said": '{% include "inventory/parts/said.html" %}',
    "filters": "{{ odd|say }}{{ odd|tell }}{{ odd|day }}{{ odd|moment }}",
}


def _context(odd: object) -> dict[str, object]:
    reason = _odd_reason(odd)
    message = SimpleNamespace(level_tag="success", extra_tags=odd, __str__=lambda: odd)
    return {
        "odd": odd,
        "reason": reason,
        "answer": verdict(reason, Reason("sample.fine", say("{odd}", odd=odd), Level.FINE)),
        "form": OddForm(odd),
        "messages": [message, odd],
    }


@pytest.mark.parametrize("odd", ODD.values(), ids=ODD.keys())
@pytest.mark.parametrize("part", PARTS.values(), ids=PARTS.keys())
def test_part_given_odd_input_renders_and_escapes_it(part, odd):
    """Whatever was typed, the part nests, runs nothing and shows no markup of anybody else."""
    found = read(drawn(part, **_context(odd)))
    assert not found.seen & {"script", "b"}


@pytest.mark.parametrize("part", ["mark", "amount", "chip", "verdict", "notes", "field", "empty", "filters"])
def test_part_given_markup_shows_it_as_it_was_typed(part):
    """What was typed is not lost either: it is read as text."""
    assert MARKUP in read(drawn(PARTS[part], **_context(MARKUP))).words


@given(st.text(max_size=60))
def test_tell_of_any_text_in_a_sentence_keeps_the_text(text):
    """A value in a sentence comes out as it went in, whatever it holds, apart from marks of direction."""
    assume(parts.code_in(text) is None)
    isolates = str.maketrans("", "", "\u2068\u2069")
    words = read(str(parts.tell(say("[{text}]", text=text)))).words
    assert words.translate(isolates) == f"[{text}]".translate(isolates)


# --- sentences and dates --------------------------------------------------------------------------------


def test_day_and_moment_of_a_date_cannot_be_misread():
    """Day, month in letters, year; the shop's own hour."""
    assert parts.day(date(2026, 12, 4)) == "4 Dec 2026"
    assert (
        parts.moment(datetime(2026, 12, 4, 13, 10, tzinfo=UTC)) == "4 Dec 2026, 14:10"
    )  # Oslo: UTC+1 in winter
    assert parts.day(datetime(2026, 12, 4, 23, 30, tzinfo=UTC)) == "5 Dec 2026"
    assert parts.moment(date(2026, 9, 1)) == "1 Sep 2026"


def test_say_in_another_language_uses_the_translation_of_the_template():
    """Django's own catalogue stands in for the shop's."""
    with translation.override("nb"):
        assert parts.say(say("This field is required.")) != "This field is required."
    assert parts.say(say("This field is required.")) == "This field is required."


def test_say_when_a_translation_names_a_value_wrongly_falls_back(monkeypatch):
    """A slip in a catalogue costs the language, not the page."""
    sentence = say("{left} g is left.", left=640)
    monkeypatch.setattr(sentences, "gettext", lambda words: "{rest} g er igjen.")
    assert parts.say(sentence) == "640 g is left."
    monkeypatch.setattr(sentences, "gettext", lambda words: "{left} g er igjen.")
    assert parts.say(sentence) == "640 g er igjen."


def test_say_of_dates_amounts_and_sentences_writes_them_for_people():
    """Values are put into words, not into a computer's notation."""
    inner = say("lot {lot}", lot="2511")
    told = parts.say(
        say("{inner}, {grams}, to {day}", inner=inner, grams=Amount(640_000, Base.MG), day=date(2026, 12, 3))
    )
    assert told == "lot 2511, 640 g, to 3 Dec 2026"


def test_say_and_tell_of_a_sentence_that_begins_with_a_value_begin_with_a_capital():
    """A thing is named `ski SA8K-J2MT`; a value that stands alone or inside keeps its letters."""
    refused = say("{ski} has not been laid up.", ski="ski SA8K-J2MT")
    assert parts.say(refused) == "Ski SA8K-J2MT has not been laid up."
    assert str(parts.tell(refused)).startswith("Ski ")
    assert parts.say(say("{name}", name="mm")) == "mm"
    assert parts.say(say("Look at {ski}.", ski="ski 1")) == "Look at ski 1."


def test_mark_with_a_word_of_its_own_begins_with_a_capital():
    """A state is kept as `all here`; as a mark it begins a line."""
    assert ">All here<" in parts.mark("fine", "all here")
    assert ">Late<" in parts.mark("stop", "Late")


def test_tell_of_a_template_with_markup_shows_it_as_text():
    """A translation cannot bring markup in either; its quotes stay quotes."""
    assert read(parts.tell(say("<b>It's</b> {left} g.", left=640))).words == "<b>It's</b> 640 g."


def test_tell_of_a_code_links_to_what_the_scan_line_finds():
    """A code leads to its thing; the same eight characters with one of them wrong do not."""
    code = codes.make(letter="P", machine="A", seed=b"jug")
    assert f'href="/scan/?code={code.shown}"' in parts.tell(say("Jug {jug}.", jug=code))
    assert f">{code.shown}</a>" in parts.tell(say("Jug {jug}.", jug=code.shown))
    swapped = code.text[:-1] + ("2" if code.text[-1] != "2" else "3")
    assert "<a" not in parts.tell(say("Jug {jug}.", jug=swapped))


# --- parts, one by one ----------------------------------------------------------------------------------


def test_mark_of_each_level_has_its_own_shape_and_its_own_word():
    """No level is told from another by colour alone."""
    marks = [parts.mark(level) for level in Level]
    shapes = {re.search(r"<svg.*</svg>", mark)[0] for mark in marks}
    assert len(shapes) == len(Level)
    assert [read(mark).words.strip() for mark in marks] == ["Fine", "Look", "Not known", "Stop"]


@pytest.mark.parametrize(
    ("given", "level"),
    [
        (Level.STOP, Level.STOP),
        (1, Level.LOOK),
        ("fine", Level.FINE),
        (verdict(), Level.FINE),
        ("nonsense", Level.UNKNOWN),
        (7, Level.UNKNOWN),
        (True, Level.UNKNOWN),
        (None, Level.UNKNOWN),
    ],
)
def test_level_of_what_is_no_level_is_unknown(given, level):
    """A slip is shown as not known, never as fine."""
    assert parts.level_of(given) is level


@pytest.mark.parametrize(
    ("value", "places", "shown"),
    [
        (4.1, None, "4.1"),
        (0.1 + 0.2, None, "0.3"),
        (1395, None, "1395"),
        (18250, None, "18\u202f250"),
        (-12, None, "−12"),
        (Decimal("1E+6"), None, "1\u202f000\u202f000"),
        (0.4349, 2, "0.43"),
        (-0.001, 2, "0.00"),
        (float("nan"), None, "–"),
        (float("inf"), 1, "–"),
        ("", None, ""),
        (None, None, ""),
    ],
)
def test_figure_of_a_number_is_written_out(value, places, shown):
    """No exponent, no minus zero, thousands by narrow spaces (as the SI brochure has them, section 5.4.4)."""
    assert parts.figure(value, places) == shown


def test_amount_of_an_amount_shows_itself_in_the_reader_s_units():
    """An amount of the books needs no help; as typed where the reader reads that unit."""
    pounds = Amount(453_592_370, Base.MG)  # a pound is 0.45359237 kg by definition
    assert read(drawn("{% amount grams %}", grams=Amount(640_000, Base.MG))).words == "640 g"
    jug = Amount(2_500_000, Base.MG)
    assert read(drawn('{% amount jug "GRM" %}', jug=jug)).words == "2500 g"
    assert read(drawn('{% amount jug "ONZ" %}', jug=pounds)).words == "453.59 kg"
    assert read(drawn("{% amount m %}", m=Amount(26_913, Base.MM))).words == "26.91 m"
    assert read(drawn("{% amount m %}", m=Amount(26_003, Base.MM))).words == "26 m"
    assert read(drawn("{% amount kg %}", kg=Amount(1_234_000, Base.MG))).words == "1234 g"
    assert read(drawn("{% amount one %}", one=Amount(1, Base.PIECE))).words == "1 piece"
    assert read(drawn("{% amount two %}", two=Amount(2, Base.PIECE))).words == "2 pieces"
    with reader.reading(us=True):
        assert read(drawn("{% amount pounds %}", pounds=pounds)).words == "1000 lb"
        assert read(drawn('{% amount pounds "ONZ" %}', pounds=pounds)).words == "16\u202f000 oz"
        assert "lb" in read(drawn('{% amount jug "KGM" %}', jug=jug)).words
        assert read(drawn('{% amount -40 "°C" %}')).words == "−40.0 °F"
        assert read(drawn('{% amount 1840 "mm" %}')).words == "1840 mm"


@pytest.mark.parametrize(
    ("value", "metric", "us"),
    [(38.0, "38 °C", "100.4 °F"), (-12.5, "−12.5 °C", "9.5 °F"), (math.nan, "–", "–"), (None, "–", "–")],
)
def test_with_unit_tells_a_number_in_a_text_in_the_readers_degrees(value, metric, us):
    """°F = 1.8 °C + 32 (NIST Special Publication 811, appendix B, from memory)."""
    assert parts.with_unit(value, "°C") == metric
    with reader.reading(us=True):
        assert parts.with_unit(value, "°C") == us
        assert parts.degrees(-20.0) == "−4°"
    assert parts.degrees(-20.0) == "−20°"


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (30.6130088496, "l", "30.61 l"),
        (31.937288, "kg", "31.94 kg"),
        (0.15625, "l", "0.1562 l"),
        (3219.49, "g", "3219.5 g"),
        (1, "pairs", "1 pair"),
        (6, "skis", "6 skis"),
        (1234567, "mg", "1\u202f234\u202f567 mg"),
        (1234567.8, "mg", "1\u202f234\u202f568 mg"),
        ("14", "piece", "14 pieces"),
    ],
)
def test_how_of_a_long_number_tells_four_digits(value, unit, shown):
    """What went in is read by people: no digits a scale does not give, none lost before the point."""
    how = How("sum", "arithmetic", (Input("resin box", value, unit),))
    assert shown in read(drawn("{% how how %}", how=how)).words


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (datetime(2026, 8, 22, 8, 30, 6, tzinfo=UTC), "", "22 Aug 2026, "),
        (date(2026, 12, 11), "", "11 Dec 2026"),
        (None, "d", "not known"),
        (Spoken(Amount(46_111, Base.MM)), "", "46.11 m"),
    ],
)
def test_how_of_what_is_no_number_is_told_as_on_a_page(value, unit, shown):
    """No date as a database has it, no unit of nothing, amounts in the reader's units."""
    how = How("sum", "arithmetic", (Input("opened", value, unit),))
    words = read(drawn("{% how how %}", how=how)).words
    assert shown in words
    assert "+00:00" not in words
    assert "not known d" not in words


def test_verdict_with_reasons_shows_the_heavy_ones_and_folds_what_is_fine():
    """What must be put right comes first; what was checked too is one tap away."""
    found = drawn('{% verdict answer "Not ready" %}', answer=samples()["answer"])
    assert "2 more things were checked and are fine" in found
    assert found.index("Edge is short") < found.index("nose weight") < found.index("<summary>2 more")
    fine = drawn('{% verdict answer "Ready" %}', answer=samples()["all_fine"])
    assert "31 materials" in fine
    assert "<details" not in fine


def test_field_with_an_error_ties_hint_and_error_to_the_control():
    """A reader that hears the page hears why with the field."""
    form = samples()["wrong_form"]
    found = drawn("{% field form.amount %}", form=form)
    assert 'aria-describedby="wrong_amount_helptext wrong_amount_error"' in found
    assert 'id="wrong_amount_helptext"' in found
    assert 'id="wrong_amount_error"' in found
    assert 'aria-invalid="true"' in found
    assert 'for="wrong_amount"' in found


def test_field_says_that_it_may_stay_empty_where_it_is_typed_and_not_where_it_is_chosen():
    """Nothing chosen is one of the choices; a field to search by is empty until it is needed."""
    found = {name: drawn("{% field form." + name + " %}", form=MayForm()) for name in MayForm.base_fields}
    assert [name for name, text in found.items() if "may stay empty" in text] == ["note"]
    assert "may stay empty" not in drawn("{% field form.note may=False %}", form=MayForm())


def test_field_that_the_form_does_not_have_is_refused():
    """A slip in a template is seen by its first test, not by a guest."""
    with pytest.raises(TypeError, match="no such field"):
        drawn("{% field form.nothing %}", form=OddForm("x"))


def test_table_cells_carry_their_column_s_name_for_a_phone():
    """On a phone a row becomes pairs of name and value."""
    found = page("help/parts.html", **samples())
    assert 'data-h="Lot, as printed"' in found
    assert 'aria-sort="ascending"' in found
    assert "Nothing is stored here yet." in found


def test_undo_of_a_message_leads_only_into_this_shop():
    """An address of anybody else is no way back."""
    undo = lambda tags: parts.undo_of(SimpleNamespace(extra_tags=tags))  # noqa: E731
    assert undo("undo:/stock/undo/1/") == "/stock/undo/1/"
    assert undo("quiet undo:/a/") == "/a/"
    assert [undo(tags) for tags in ("undo://evil.example/", "undo:https://evil.example/", "", None)] == [
        ""
    ] * 4


def test_message_with_an_undo_offers_it_as_a_form_with_a_token():
    """Taking back is a write, so it is a form; without one there is none."""
    message = SimpleNamespace(level_tag="success", extra_tags="undo:/undo/1/")
    source = '{% include "inventory/parts/said.html" %}'
    found = drawn(source, messages=[message])
    assert '<form method="post" action="/undo/1/">' in found
    assert 'name="token"' in found
    assert "<form" not in drawn(source, messages=[SimpleNamespace(level_tag="success", extra_tags="")])
