"""The cutting plan, one tap that records a cut, cutting by hand, gluing up: through the screens' path."""

import csv
import io
import re
from uuid import UUID

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory.actions import cutting as cutting_actions
from inventory.actions import materials, people, places, stock
from inventory.compute.codes import Code, Kind
from inventory.compute.cutting.taken import Size, Some
from inventory.compute.units import Amount, Base
from inventory.models import Event, Material, Package
from inventory.queries import cutting, cutting_plan, things
from inventory.queries.cutting_plan import Asked, Wanted
from tests import bench_world
from tests.compute.test_cutting import RAWS, ROLLS
from tests.make import grams
from tests.reading import Client
from tests.views.test_every_page import errors, loose

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(shop):
    shop.at = timezone.now()
    return bench_world.world(shop)


@pytest.fixture
def client(world) -> Client:
    people.give_way_in(person=world.shop.crew, username="odd", password="a-long-one-for-tests")
    found = Client()
    found.force_login(User.objects.get(username="odd"), "django.contrib.auth.backends.ModelBackend")
    return found


def text(answer) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def code(thing) -> str:
    return things.codes_of([thing])[0]


def plan_of(world) -> str:
    return f"/cutting/{world.workshop}/plan/"


def fields(html: str, address: str) -> dict[str, str]:
    """The hidden fields of the form that posts there, as the page sends them."""
    form = re.search(rf'<form method="post" action="{address}">(.*?)</form>', html, re.DOTALL)[1]
    return dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))


def sheet_of(world, key):
    rows = cutting_plan.plan(world.workshop, Asked(), today=timezone.localdate())
    return next(row for row in rows if row.material.key == key)


def test_plan_asks_what_the_pairs_take_and_one_tap_records_a_cut(client, world):
    """Two pairs: 8 edges; the tap bears the batch, and asking again asks for none."""
    world.pair()
    world.pair("Ola")
    edge = sheet_of(world, "edge")
    assert edge.open == edge.wanted[0].count == 8
    answer = client.get(plan_of(world))
    assert "No whole length is needed" in text(answer)
    for page in (answer, client.get(plan_of(world) + "?paper=letter")):
        markup = page.content.decode()
        assert [*errors(markup), *loose(markup)] == []
    address = f"/cutting/{code(world.packages['edge'])}/cut/"
    sent = fields(answer.content.decode(), address)
    after = client.post(address, sent, follow=True)
    assert "Print the tags" in text(after)
    assert sheet_of(world, "edge").open == 0
    (batch,) = cutting.in_stock(Kind.CUT_BATCH)
    assert (batch.pieces, batch.size.length_mm) == (8, edge.wanted[0].size.length_mm + 10)
    client.post(address, sent)  # sent again: the same tap
    assert Event.objects.filter(step="cut").count() == 1
    again = client.post(address, sent | {"token": "01950000-0000-7000-8000-000000000001"})
    assert again.status_code == 409
    assert "takes 8 more" in text(again)


def test_plan_leaves_out_what_is_held_and_uses_offcuts_first(client, world):
    """Sheets on hold and what was cut of them are no stock; an offcut that will do is cut before a sheet."""
    shop = world.shop
    shop.do(
        materials.edit_material,
        material=shop.names["glass"],
        changes={"width_mm": 1000.0, "length_mm": 2000.0},
    )
    world.pair()
    wanted = sheet_of(world, "glass").wanted[0].size
    kept = f"1990 x {wanted.width_mm + 12}"
    assert client.post(
        f"/cutting/{code(world.packages['glass'])}/cut/",
        {"pieces": "1 x 500 x 400", "offcuts": kept, "lengths": "1", "kerf_mm": "1"},
    ).status_code == 302  # fmt: skip
    (offcut,) = cutting.in_stock(Kind.OFFCUT)
    assert sheet_of(world, "glass").jobs.jobs[0].code == offcut.code
    page = text(client.get(plan_of(world)))
    assert f"Offcuts used: {Code(offcut.code).shown}" in page.replace(" .", ".")
    shop.do(stock.hold, things=[world.packages["glass"]], reason="wet")
    found = sheet_of(world, "glass")
    assert {job.code for job in found.jobs.jobs} == {""}
    assert found.jobs.to_buy == 1
    paper = client.get(plan_of(world) + "?paper=a4")
    assert paper.status_code == 200
    assert "to buy" in text(paper)
    page = text(client.get(plan_of(world)))
    assert "1 of them are not in stock" in page
    assert "no plan can do with fewer" in page
    assert "Offcuts used" not in page


@pytest.mark.parametrize(("wanted", "length", "best"), [(ROLLS, 5600, 73), (RAWS, 100, 453)])
def test_plan_of_published_instances_through_stock_reaches_their_best(world, wanted, length, best):
    """Sources as in tests/compute/test_cutting.py; out of two packages, the rest to buy."""
    shop = world.shop
    stick = shop.package("stick", Amount(length * (best - 5), Base.MM), "ST-1")
    shop.package("stick", Amount(length * 2, Base.MM), "ST-2")
    shop.do(materials.edit_material, material=shop.names["stick"], changes={"length_mm": float(length)})
    card = Material.objects.get(key="stick")
    rows = [Wanted(card, Size(mm), count, ()) for mm, count in wanted.items()]
    sources = cutting_plan.to_cut_from([card.id], timezone.localdate())[card.id]
    found = cutting_plan.sheet(card, rows, sources, [], Asked(0.0, 0, 0)).jobs
    assert (found.whole, found.at_best, found.to_buy) == (best, best, 3)
    out = {}
    for job in found.jobs:
        for row in job.pieces:
            out[row.size.length_mm] = out.get(row.size.length_mm, 0) + row.count
    assert out == wanted
    assert sum(job.lengths for job in found.jobs if job.code == code(stick)) == best - 5


def test_plan_says_which_length_suits_and_answers_bad_input(client, world):
    """1,600 mm edges: 3,250 loses least of three; a kerf of 60 and letters are answered with 422."""
    world.pair()
    good = client.get(plan_of(world) + "?ask=1&kerf_mm=1&trim_mm=10&lengths_mm=2000+2500+3500")
    assert good.status_code == 200
    assert "takes least length" in text(good)
    for bad in ("kerf_mm=60", "trim_mm=-1", "lengths_mm=two+metres", "keep_from_mm=x"):
        assert client.get(f"{plan_of(world)}?ask=1&{bad}").status_code == 422


def test_plan_of_no_pairs_and_of_no_workshop(client, world):
    """Empty, and not there."""
    assert "No booked pair" in text(client.get(plan_of(world)))
    assert client.get("/cutting/01950000-0000-7000-8000-000000000001/plan/").status_code == 404


@pytest.mark.parametrize(
    ("bad", "status"),
    [
        ({"pieces": ""}, 422),
        ({"pieces": "four of them"}, 422),
        ({"pieces": "0 x 1500"}, 409),
        ({"pieces": "1 x 0"}, 409),
        ({"pieces": "1 x 1500 x 20"}, 409),
        ({"pieces": "1 x 99999999"}, 422),
        ({"pieces": "1 x 70000"}, 409),
        ({"kerf_mm": "60"}, 422),
        ({"lengths": "0"}, 422),
        ({"offcuts": "1 x 2 x 3"}, 422),
        ({"workshop": "x"}, 422),
    ],
)
def test_cut_by_hand_answers_bad_input_and_cuts_nothing(client, world, bad, status):
    """One slip at a time; without it the cut is on record."""
    address = f"/cutting/{code(world.packages['edge'])}/cut/"
    good = {"pieces": "4 x 1500\n2 × 1400 mm", "lengths": "1", "kerf_mm": "1"}
    assert client.post(address, good | bad).status_code == status
    assert not Event.objects.filter(step="cut").exists()
    assert client.post(address, good).status_code == 302
    assert [row.pieces for row in cutting.in_stock()] == [4, 2]


def test_glue_up_by_scan_bears_blanks_and_asks_a_reason_for_wet_wood(client, world):
    """12 % is refused with 409, everything entered still there; with a reason it is on record."""
    shop = world.shop
    bundle = shop.package("wood", Amount(40_000, Base.MM), "W-1")
    glue = shop.package("glue", grams(1000), "G-1")
    sent = {
        "blank": str(shop.names["blank"]), "count": "4", "length_mm": "1900", "glue": code(glue),
        "glue_amount": "250 g", "wood_1": code(bundle), "amount_1": "16 m", "moisture_1": "12",
    }  # fmt: skip
    answer = client.post("/cutting/glue/", sent)
    assert answer.status_code == 409
    assert "is wet: 12" in text(answer)
    assert client.post("/cutting/glue/", sent | {"amount_1": "16 kg"}).status_code == 422
    assert client.post("/cutting/glue/", sent | {"wood_1": "PA00-0000"}).status_code == 422
    assert client.post("/cutting/glue/", sent | {"why": "for a show piece"}).status_code == 302
    (blanks,) = cutting.in_stock(Kind.CORE_BLANK)
    assert (blanks.left, blanks.size) == (4, Size(1900))
    page = client.get(f"/thing/{blanks.code}/")
    assert Code(code(bundle)).shown in text(page)


def test_plan_asks_the_database_as_often_for_ten_pairs_as_for_one(client, world):
    """Cut batches and offcuts among them."""
    counts = []
    for more in (1, 9):
        for number in range(more):
            world.pair(f"Guest {more}{number}")
            world.shop.package("edge", Amount(9000, Base.MM), f"E-{more}{number}")
            address = f"/cutting/{code(world.packages['edge'])}/cut/"
            client.post(
                address, {"pieces": f"1 x {100 + number}", "offcuts": "310", "lengths": "1", "kerf_mm": "0"}
            )
        client.get(plan_of(world))
        with CaptureQueriesContext(connection) as caught:
            assert client.get(plan_of(world)).status_code == 200
        counts.append(len(caught))
    assert counts[0] == counts[1]


def test_offcuts_are_listed_by_material_and_place_and_leave_as_a_sheet(client, world):
    """The longest first; a hold on the lot they were cut from is said; a material narrows the list."""
    shop = world.shop
    assert "No offcut is kept" in text(client.get("/cutting/offcuts/"))
    store = shop.place(Kind.STORE, "the barn")
    shelf = shop.place(Kind.ZONE, "shelf 2", store)

    def cut(what: str, *sizes: int) -> list[UUID]:
        """The offcuts of one cut of a piece."""
        values = {"pieces": [Some(Size(100), 1)], "offcuts": [Size(mm) for mm in sizes]}
        return shop.do(cutting_actions.cut, source=world.packages[what], **values).things[1:]

    edges, bases = cut("edge", 900, 1200), cut("base", 700)
    shop.do(places.move, things=[edges[0]], to=shelf)
    page = client.get("/cutting/offcuts/").content.decode()
    found = re.findall(r"</span>, (\d+) mm", page)
    assert found == ["700", "1200", "900"]
    assert "the barn, shelf 2" in page
    assert "On hold" not in page
    lot = Package.objects.get(thing_id=world.packages["base"]).lot_id
    shop.do(stock.hold, things=[lot], reason="brittle")
    assert client.get("/cutting/offcuts/").content.decode().count("On hold") == 1
    narrowed = f"/cutting/offcuts/?material={shop.names['edge']}"
    assert re.findall(r"</span>, (\d+) mm", client.get(narrowed).content.decode()) == ["1200", "900"]
    there = client.get(f"{narrowed}&place={store}").content.decode()
    assert re.findall(r"</span>, (\d+) mm", there) == ["900"]
    sheet = client.get("/cutting/offcuts/?file=csv").content.decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(sheet)))
    told = [(row["Length, mm"], row["Where"], row["State"]) for row in rows]
    assert told == [("700", "", "on hold"), ("1200", "", ""), ("900", "the barn, shelf 2", "")]
    assert client.get("/cutting/offcuts/?material=nonsense&place=1").status_code == 200
    shop.do(stock.write_off, thing=bases[0], amount=Amount(700, Base.MM), reason="brittle")
    assert "700 mm" not in client.get("/cutting/offcuts/").content.decode()


def test_offcuts_take_as_many_statements_for_ten_as_for_one(client, world):
    """However many there are."""

    def asked() -> int:
        client.get("/cutting/offcuts/")
        with CaptureQueriesContext(connection) as caught:
            assert client.get("/cutting/offcuts/").status_code == 200
        return len(caught)

    def cut(count: int) -> None:
        values = {"pieces": [Some(Size(100), 1)], "offcuts": [Size(300 + at) for at in range(count)]}
        world.shop.do(cutting_actions.cut, source=world.packages["edge"], **values)

    cut(1)
    one = asked()
    cut(9)
    assert asked() == one
