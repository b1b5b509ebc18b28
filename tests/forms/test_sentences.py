"""Sentences as they are told: capitals, signs, and the reader's own units.

Outside check: °F = 1.8 °C + 32, a difference of 1 K is 1.8 °F, 1 lb = 453.59237 g (NIST Special Publication
811, appendix B, from memory); capitals after a full stop as any English grammar has them.
"""

import ast
import re
from datetime import date
from pathlib import Path

import pytest

from inventory.compute.reasons import number
from inventory.compute.units import Amount, Base, Spoken
from inventory.errors import Refused, say
from inventory.forms import reader
from inventory.forms.sentences import text
from inventory.templatetags.parts import tell

ROOT = Path(__file__).resolve().parents[2] / "inventory"


@pytest.mark.parametrize(
    ("sentence", "told"),
    [
        (say("{thing} is on hold.", thing="package PA4T-1XQS"), "Package PA4T-1XQS is on hold."),
        (say("{thing} is on hold.", thing="PA4T-1XQS"), "PA4T-1XQS is on hold."),
        (say("Put {thing} back.", thing="package PA4T-1XQS"), "Put package PA4T-1XQS back."),
        (say("It is {day}. {thing} waits.", day="late", thing="ski 3"), "It is late. Ski 3 waits."),
        (say("{thing} of {pair}", thing="left ski", pair="SP1"), "left ski of SP1"),
        (say("{name} is a strip.", name="pH paper"), "pH paper is a strip."),
        (say("{name} is a file.", name="logger.csv"), "logger.csv is a file."),
        (say("{unit} is the unit.", unit="mm"), "mm is the unit."),
        (say("{name} is wide.", name="élan foil"), "Élan foil is wide."),
        (say("{name} is {odd}.", name="", odd="here"), " is here."),
    ],
)
def test_sentence_when_it_begins_with_a_thing_begins_with_a_capital(sentence, told):
    """At its beginning and after a stop; never inside, and never of a code, a unit or a name with its own."""
    assert str(sentence) == told
    assert text(sentence) == told


def test_whole_number_in_a_sentence_has_no_decimals_and_another_keeps_its_own():
    told = [text(say("It stood {hours} h above {limit} °C.", hours=h, limit=27.0)) for h in (2238.0, 0.5)]
    assert told == ["It stood 2238 h above 27 °C.", "It stood 0.5 h above 27 °C."]


def test_sentence_inside_another_keeps_its_small_letter_unless_it_begins_it():
    """A reason after a colon stays small; the same reason at the front does not."""
    reason = say("{thing} is on hold.", thing="lot LT11")
    for told in (str, text, tell):
        assert told(say("Not ready: {reason}", reason=reason)) == "Not ready: lot LT11 is on hold."
        assert told(say("{reason} {what}", reason=reason, what="ask.")) == "Lot LT11 is on hold. Ask."


def test_number_below_zero_has_a_minus_sign_and_a_date_keeps_its_hyphens():
    """U+2212 for numbers in every format; text is left alone."""
    values = {"a": -1.3, "b": 2, "c": -4, "d": "B-12", "e": date(2026, 12, 4)}
    sentence = say("{a:+} % or {b:+} or {c} of {d} on {e:%Y-%m-%d}.", **values)
    assert str(sentence) == "−1.3 % or +2 or −4 of B-12 on 2026-12-04."


@pytest.mark.parametrize(
    ("sentence", "metric", "us"),
    [
        (say("It is {c} °C.", c=18.5), "It is 18.5 °C.", "It is 65.3 °F."),
        (say("It is {c} °C.", c=-40), "It is −40 °C.", "It is −40 °F."),
        (say("It is {c:g} °C.", c=100.0), "It is 100 °C.", "It is 212 °F."),
        (say("{k} K above it.", k=5), "5 K above it.", "9 °F above it."),
        (say("{k} K/min at most.", k=10), "10 K/min at most.", "18 °F/min at most."),
        (say("It weighs {m} kg.", m=173.6), "It weighs 173.6 kg.", "It weighs 382.7 lb."),
        (say("{kj} kJ/mol.", kj=60), "60 kJ/mol.", "60 kJ/mol."),
        (say("A ski of {mm} mm.", mm=1850), "A ski of 1850 mm.", "A ski of 1850 mm."),
        (say("{a} left.", a=Spoken(Amount(6587, Base.MM))), "6.59 m left.", "21.61 ft left."),
    ],
)
def test_value_before_its_unit_follows_the_reader(sentence, metric, us):
    """Temperatures, differences of them and masses; a ski's millimetres stay."""
    assert text(sentence) == metric == str(sentence)
    with reader.reading(us=True):
        assert text(sentence) == us
        assert tell(sentence) == us


def test_refused_number_tells_value_and_bound_in_the_readers_unit():
    """90 °C where 60 is the most: 194 and 140 °F."""
    number(60, code="x", name="The bay", unit="°C", at_most=60)
    with pytest.raises(Refused) as wrong:
        number(90, code="x", name="The bay", unit="°C", at_most=60)
    with reader.reading(us=True):
        assert text(wrong.value.sentence) == "The bay is 194 °F, above what is possible (140 °F)."
    with pytest.raises(Refused) as bare:
        number(3, code="x", name="The share", at_most=1)
    assert str(bare.value.sentence) == "The share is 3, above what is possible (1)."


def test_no_template_lets_two_values_share_one_unit():
    """`{low} to {high} °C` would be told half in one unit and half in the other; each value has its own."""
    shared = re.compile(r"\{\w+(?::[^{}]*)?\} (?:to|of|and|or|by|from|–) \{\w+(?::[^{}]*)?\} (?:°C|K|kg)\b")
    found = [
        f"{file.name}:{node.lineno}"
        for file in ROOT.rglob("*.py")
        for node in ast.walk(ast.parse(file.read_text("utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and shared.search(node.value)
    ]
    assert shared.search("{low} to {high} °C")
    assert found == []
