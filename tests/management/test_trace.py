"""trace: in words and as data, both directions; what cannot be found says why on the error stream."""

import json
from dataclasses import fields

import pytest

from inventory.actions import books, materials, press, stock
from inventory.compute.codes import Kind, make
from inventory.models import Tag
from inventory.queries.dossier import facts as dossier_facts
from inventory.queries.stock import package
from tests.architecture.test_docs import ROOT
from tests.make import day, grams, pieces
from tests.management.running import run

pytestmark = pytest.mark.django_db


def code(thing) -> str:
    return Tag.objects.get(thing_id=thing).code


@pytest.fixture
def built(shop):
    """One ski, laid up from one batch and one blank, pressed and judged; the things by name."""
    supplier = shop.do(materials.make_supplier, name="Ulvsnipa Harpiks").thing
    resin = shop.package("resin", number="R-1", supplier=supplier, expires_on=day("2027-06-01"))
    hardener = shop.package("hardener", number="H-9")
    blanks = shop.package("blank", amount=pieces(2), number="K-3")
    pair, left, _ = shop.pair()
    batch = shop.mix(resin, hardener)
    shop.do(press.lay_up, ski=left, inputs=[(blanks, pieces(1)), (batch, grams(150))])
    machine = shop.do(press.put_equipment_into_use, kind=Kind.PRESS, name="Press 1").thing
    cycle = shop.do(
        press.record_cycle, press=machine, skis=[left], mould=None, set_kpa=300, set_c=80, minutes=25
    ).thing
    shop.do(press.judge, cycle=cycle, passed=True, why="reached 80 degrees")
    shop.built = {
        "resin": resin,
        "hardener": hardener,
        "pair": pair,
        "left": left,
        "batch": batch,
        "cycle": cycle,
    }
    return shop


def test_trace_of_a_ski_tells_its_lots_with_their_printed_numbers_and_its_cycle(built):
    """Amounts, printed numbers, supplier, the cycle's set points and the verdict."""
    ran = run("trace", code(built.built["left"]).lower())
    assert ran.code == 0
    for told in (
        "150 g of resin batch",
        "number R-1, Ulvsnipa Harpiks, to 1 Jun 2027",
        "number H-9",
        "number K-3",
        "press cycle",
        "Press 1",
        "300 kPa, 80 °C, 25 min",
        "passed; “reached 80 degrees”",
    ):
        assert told in ran.out, told
    assert "Ida" not in ran.out


def test_trace_of_a_lot_tells_every_ski_it_went_into(built):
    """Forward: jug, batch, ski with its pair."""
    ran = run("trace", code(package(built.built["hardener"]).lot_id))
    ski, pair = (Tag.objects.get(thing_id=built.built[name]).code for name in ("left", "pair"))
    assert f"{ski[:4]}-{ski[4:]}" in ran.out
    assert f"{pair[:4]}-{pair[4:]}" in ran.out
    assert ran.out.index("Went into") < ran.out.index(f"{ski[:4]}-{ski[4:]}")


def test_trace_tells_an_undone_event_as_undone(built):
    """Both stay readable: what was recorded, and that it no longer counts, by whom and why."""
    wrong = built.do(stock.draw, package=built.built["resin"], amount=grams(7))
    built.do(books.undo, token=wrong.token, reason="another jug")
    ran = run("trace", code(built.built["resin"]))
    assert "drawn; 7 g" in ran.out
    assert "by Ragna Quill: another jug" in ran.out


def test_trace_tells_what_stops_a_thing(built):
    """A hold on what went into it, with its reason."""
    built.do(stock.hold, things=[built.built["batch"]], reason="stayed soft")
    ran = run("trace", code(built.built["left"]))
    assert "Must not be used: resin batch" in ran.out
    assert "stayed soft" in ran.out


def test_trace_as_data_says_the_same(built):
    """The printed numbers and the amounts, as whole base units with their unit."""
    ran = run("trace", code(built.built["left"]), "--json")
    data = json.loads(ran.out)
    assert (ran.code, data["format"], data["version"]) == (0, "tip-to-tail dossier", 1)
    assert data["thing"]["id"] == str(built.built["left"])
    assert {"R-1", "H-9", "K-3"} <= {link["label"]["number"] for link in data["made_of"] if link["label"]}
    batch = next(link for link in data["made_of"] if link["of"]["kind"] == "resin batch")
    assert batch["amount"] == {"value": 150_000, "base": "mg"}
    assert data["exposures"][0]["facts"]["set_c"] == 80


def test_trace_fields_are_documented():
    """Every field of every row stands in the page of help, and the page names no other."""
    page = (ROOT / "inventory/docs/what-trace-answers.md").read_text("utf-8")
    rows = [
        row
        for row in vars(dossier_facts).values()
        if hasattr(row, "__dataclass_fields__") and row.__module__.startswith("inventory.queries")
    ]
    wanted = {(row.__name__.lower(), field.name) for row in rows for field in fields(row)}
    found = set()
    room = ""
    for line in page.splitlines():
        if line.startswith("### "):
            room = line.removeprefix("### ").lower()
        elif line.startswith("| `") and room:
            found.add((room, line.split("`")[1]))
    assert found == wanted


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (make(letter="P", machine="A", seed=b"no").text, "is not in the books"),
        (make(letter="P", machine="Q", seed=b"no").text, "never met"),
        ("PA", "a code has 8"),
        ("", "There is no code"),
        ("X" * 300, "characters"),
    ],
)
def test_trace_of_what_is_no_thing_says_why_and_ends_with_2(shop, text, said):
    """Nothing on the output, the sentence and what to do on the error stream."""
    ran = run("trace", text)
    assert (ran.code, ran.out) == (2, "")
    assert said in ran.err
    assert len(ran.err.strip().splitlines()) == 2
