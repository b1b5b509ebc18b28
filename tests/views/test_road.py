"""Loading, the road and home again through the pages."""

import re
from datetime import timedelta
from functools import partial

import pytest
import time_machine
from django.contrib.auth.models import User
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.actions import loading, people, places, press, road, stock
from inventory.actions.shop import choose_units
from inventory.compute.codes import Kind
from inventory.models import Event, State, Tag, Trip
from inventory.queries import road as queries
from tests import away, bench_world
from tests.make import grams, pieces, token

pytestmark = pytest.mark.django_db
KG = 1_000_000


@pytest.fixture
def desk(shop, client):
    """A helper; a jug on the list for zone 1 of the trailer."""
    away.plan(shop)
    client.shop, client.names = shop, shop.names
    shop.names["jug"] = shop.package("resin", place=shop.names["store"])
    shop.do(loading.put_on_list, trip=shop.names["trip"], things=[shop.names["jug"]], zone=shop.names["zone"])
    people.give_way_in(person=shop.helper, username="sunniva", password="a-long-one-for-tests")
    with time_machine.travel(shop.at + timedelta(minutes=5), tick=True):
        client.force_login(
            User.objects.get(username="sunniva"), backend="django.contrib.auth.backends.ModelBackend"
        )
        yield client


def code(thing):
    return Tag.objects.get(thing_id=thing).code


def page(desk, name):
    return reverse(f"road-{name}", args=[desk.names["trip"]])


def scan(desk, thing, to=None, **more):
    data = {"token": str(token()), "do": "load", "code": code(thing), "trip": str(desk.names["trip"])}
    return desk.post(reverse("scan-send"), data | ({"to": code(to)} if to else {}) | more)


def plain(answer):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode())).replace("\xa0", " ")


def test_scan_loads_it_and_says_what_is_left_and_the_load(desk):
    """The answer is for the script; the page shows one line less."""
    assert "Still to be loaded: 1" in plain(desk.get(page(desk, "load")))
    once = str(token())
    told = scan(desk, desk.names["jug"], token=once).json()
    assert told["said"] == "Aboard: zone 1, Wren."
    assert (told["aboard"], told["left"]) == ([code(desk.names["jug"])], 0)
    assert "Wren" in told["masses"][0]
    assert State.objects.get(thing_id=desk.names["jug"]).place_id == desk.names["zone"]
    assert scan(desk, desk.names["jug"], token=once).json() == told  # sent again, as its answer was lost
    again = scan(desk, desk.names["jug"]).json()["said"]
    assert re.fullmatch(r"Aboard already since .*30 Nov 2026.*: zone 1, Wren\.", again)
    assert "Still to be loaded: 0" in plain(desk.get(page(desk, "load")))


def test_scan_that_is_refused_brings_what_puts_it_right(desk):
    """The same fix, sent as a scan of its own, loads it."""
    glue = desk.shop.package("glue")
    wrong = scan(desk, glue, desk.names["zone 2"])
    assert wrong.status_code == 409
    (fix,) = wrong.json()["fixes"]
    assert fix["label"] == "Put it on the list and load it"
    assert scan(desk, glue, desk.names["zone 2"], sure=fix["sure"]).status_code == 200
    assert State.objects.get(thing_id=glue).place_id == desk.names["zone 2"]


def test_scan_of_what_is_aboard_in_its_bin_says_in_which_and_since_when(desk):
    """The bin was ticked; a can in it, scanned, is no fault and writes nothing."""
    bin_ = desk.shop.place(Kind.BIN, "bin 7", desk.names["store"])
    can = desk.shop.package("glue", place=bin_)
    desk.shop.do(loading.put_on_list, trip=desk.names["trip"], things=[bin_], zone=desk.names["zone 2"])
    assert scan(desk, can).status_code == 409
    assert scan(desk, bin_).json()["said"] == "Aboard: zone 2, Wren."
    moved = Event.objects.filter(step="moved").count()
    answer = scan(desk, can)
    assert answer.status_code == 200
    assert re.fullmatch(r"Aboard already since .*30 Nov 2026.*: bin 7, zone 2\.", answer.json()["said"])
    assert Event.objects.filter(step="moved").count() == moved


def test_weighed_trailer_is_told_by_the_scale_first_where_it_is_loaded_and_on_paper(desk):
    """900 kg by Sunniva; the list has the empty trailer's 680: 220 kg nobody scanned, in a sentence."""
    card = {"gross_mg": 1500 * KG, "empty_mg": 680 * KG, "empty_nose_mg": 75 * KG, "axle_mm": 3000}
    desk.shop.do(places.edit_place, place=desk.names["trailer"], changes=card)
    sheet = f"/trips/{desk.names['trip']}/load-sheet/"
    assert "on the scale" not in plain(desk.get(page(desk, "load"))) + plain(desk.get(sheet))
    trailer = desk.names["trailer"]
    desk.post(page(desk, "weigh"), {"when": "leaving", f"mass-{trailer}": "900 kg"})
    for told in (
        plain(desk.get(page(desk, "load"))),
        plain(desk.get(sheet)),
        plain(desk.get(f"{sheet}?paper=a4")),
    ):
        at = told.index("Wren on the scale: 900 kg of 1500 kg")
        assert "Sunniva" in told[at : at + 120]
        assert "the scale shows 220 kg more than the list" in told
        assert "something is aboard that nobody scanned, or a mass is entered too small" in told
        assert at < told.index("eckoned by what was entered", at)
    assert re.search(r"s mass +900 kg +685", plain(desk.get(sheet))), "the scale before the sum"
    scan(desk, desk.names["jug"])
    assert "1 thing was loaded, unloaded or moved in it" in plain(desk.get(page(desk, "load")))


def test_scan_made_before_leaving_and_sent_after_is_aboard_as_it_left(desk):
    """Half a minute on its phone while the trailers leave; scanned after that it was not aboard."""
    other = desk.shop.package("resin", grams(50), number="M", place=desk.names["store"])
    desk.shop.do(loading.put_on_list, trip=desk.names["trip"], things=[other], zone=desk.names["zone"])
    desk.post(page(desk, "depart"), {"sure": "on"})
    left = queries.standing(desk.names["trip"]).departed_at
    with time_machine.travel(left + timedelta(seconds=20), tick=True):
        assert scan(desk, desk.names["jug"], ago="40").status_code == 200
        assert scan(desk, other, ago="10").status_code == 200
    had = {
        thing: Event.objects.filter(step="moved", lines__thing_id=thing).get().sort
        for thing in (desk.names["jug"], other)
    }
    gone = Event.objects.get(step="departed").sort
    assert had[desk.names["jug"]] < gone < had[other]
    assert queries.scanned_late(desk.names["trip"]) == 1


def test_scan_for_no_trip_or_of_nothing_is_refused_and_nothing_breaks(desk):
    """A trip that is not in these books, no trip at all, a code of nothing."""
    assert scan(desk, desk.names["jug"], trip="01890a5d-ac96-774b-bcce-b302099a8057").status_code == 409
    assert scan(desk, desk.names["jug"], trip="").status_code == 409
    assert desk.post(
        reverse("scan-send"), {"token": str(token()), "do": "load", "code": "P"}
    ).status_code in (
        409,
        422,
    )
    assert not Event.objects.filter(step="moved").exists()


def test_leave_asks_when_something_stands_against_it(desk):
    """The list is not aboard: a tick is asked for; then it is on the road, arrives, and is home."""
    address = page(desk, "depart")
    assert "1 thing of the list is not aboard" in plain(desk.get(address))
    unsure = desk.post(address, {"token": str(token())})
    assert unsure.status_code == 422
    assert "Tick it to leave with what stands against it." in plain(unsure)
    assert not Event.objects.filter(step="departed").exists()
    assert "Leave for" in plain(desk.get("/"))
    assert "On the road." in (left := plain(desk.post(address, {"sure": "on"}, follow=True)))
    assert left.index("We have arrived") < left.index("What would stand against leaving now")
    assert "Can we leave?" not in left
    assert "How warm it was in Wren" in left
    assert "Leave for" not in plain(desk.get("/"))
    assert "Arrived." in plain(desk.post(page(desk, "arrive"), follow=True))
    assert "Home again." in plain(desk.post(page(desk, "come-home"), follow=True))
    back = plain(desk.get(f"/trips/{desk.names['trip']}/trip/"))
    assert "This trip is over." in back
    assert "Can we leave?" not in back
    again = desk.post(page(desk, "come-home"))
    assert again.status_code == 409


def test_leave_on_another_day_than_the_card_has_says_so(desk):
    """Three days early; on its own day nothing is said of days."""
    assert "By its card this trip leaves on 3 Dec 2026, not today." in plain(desk.get(page(desk, "depart")))
    with time_machine.travel(desk.shop.at + timedelta(days=3), tick=False):
        assert "By its card" not in plain(desk.get(page(desk, "depart")))


def test_home_counts_what_was_opened_and_weighs_the_waste(desk):
    """5 kg out, 1 kg used, 3.8 kg found: 1.2 kg are gone; wrong amounts stand beside their field."""
    scan(desk, desk.names["jug"])
    desk.shop.do(road.depart, trip=desk.names["trip"])
    desk.shop.do(stock.draw, package=desk.names["jug"], amount=grams(1000))
    desk.post(page(desk, "come-home"))
    field = str(desk.names["jug"])
    assert desk.post(page(desk, "home"), {field: "much"}).status_code == 422
    assert desk.post(page(desk, "home"), {field: "9 kg"}).status_code == 409
    told = plain(desk.post(page(desk, "home"), {field: "3.8 kg"}, follow=True))
    assert "Counted." in told
    assert "3.8 kg" in told
    assert desk.post(page(desk, "waste"), {"sort": "chemical", "mass": "5 kg"}).status_code == 409
    told = plain(desk.post(page(desk, "waste"), {"sort": "chemical", "mass": "0.4 kg"}, follow=True))
    assert "chemical 0.4 kg" in told or "chemical 400 g" in told
    bare = desk.post(page(desk, "waste"), {"sort": "other", "mass": "1.2"}, follow=True)
    assert "other 1.2 kg" in plain(bare)  # without a unit it is kg, as the field says


def test_home_says_what_is_not_here_and_lists_it_as_missing(desk):
    """One tap beside the thing; an id of nothing is no page, one that is not aboard is refused."""
    scan(desk, desk.names["jug"])
    desk.shop.do(road.depart, trip=desk.names["trip"])
    assert "Not here" in plain(desk.get(page(desk, "home")))
    told = plain(desk.post(page(desk, "not-here"), {"thing": str(desk.names["jug"])}, follow=True))
    assert "Missing: on record." in told
    assert "Missing" in told[told.index("We are home") :]
    assert "In the trailers" not in told
    assert desk.post(page(desk, "not-here"), {"thing": str(desk.names["jug"])}).status_code == 409
    assert desk.post(page(desk, "not-here"), {"thing": "x"}).status_code == 404


def test_trailers_are_weighed_leaving_and_home(desk):
    """What was typed stands beside the list; nothing, and more nose than trailer, are refused."""
    trailer = desk.names["trailer"]
    mass, nose = f"mass-{trailer}", f"nose-{trailer}"
    assert "Wren weighs" in plain(desk.get(page(desk, "weigh")))
    assert desk.post(page(desk, "weigh"), {"when": "leaving"}).status_code == 409
    assert desk.post(page(desk, "weigh"), {mass: "900 kg"}).status_code == 422
    assert desk.post(page(desk, "weigh"), {"when": "leaving", mass: "heavy"}).status_code == 422
    much = desk.post(page(desk, "weigh"), {"when": "leaving", mass: "900 kg", nose: "901 kg"})
    assert much.status_code == 409
    assert "cannot be" in plain(much)
    desk.post(page(desk, "weigh"), {"when": "leaving", mass: "900 kg", nose: "80"})
    assert re.search(r"900 kg.*80 kg", plain(desk.get(page(desk, "weigh"))))
    desk.shop.do(road.depart, trip=desk.names["trip"])
    told = desk.get(page(desk, "weigh")).content.decode()
    assert re.search(r'value="home"[^>]*checked', told)
    assert "On record." in plain(
        desk.post(page(desk, "weigh"), {"when": "home", mass: "880 kg"}, follow=True)
    )


def test_trailer_weighed_over_its_plate_stands_against_leaving_until_it_is_weighed_again(desk):
    """The page leads to the answer, which says by how much; the scale's last word counts."""
    trailer = desk.names["trailer"]
    desk.shop.do(places.edit_place, place=trailer, changes={"gross_mg": 1_500_000_000})
    weigh = partial(desk.post, page(desk, "weigh"), follow=True)
    told = plain(weigh({"when": "leaving", f"mass-{trailer}": "1600 kg"}))
    assert re.search(r"1,?600 kg is 100 kg over its lowest plate, 1,?500 kg", told)
    told = plain(weigh({"when": "leaving", f"mass-{trailer}": "1490 kg"}))
    assert "over its lowest plate" not in told


def test_home_says_in_order_what_is_left_to_do_and_leads_on_to_the_record(desk):
    """Unload, count, weigh, record, each until it is done; a helper may do all but record."""
    scan(desk, desk.names["jug"])
    desk.shop.do(road.depart, trip=desk.names["trip"])
    desk.shop.do(stock.draw, package=desk.names["jug"], amount=grams(1000))
    assert "Unload:" not in plain(desk.get(page(desk, "home"))), "still on the road"
    desk.post(page(desk, "come-home"))
    told = plain(desk.get(page(desk, "home")))
    steps = [told.index(step) for step in ("Unload: 1 thing", "Count: 1 package", "Weigh the waste")]
    assert steps == sorted(steps)
    assert "It left with 5 kg." in told
    record = f"/usage/{desk.names['trip']}/record/"
    assert record not in desk.get(page(desk, "home")).content.decode()
    desk.shop.do(places.move, things=[desk.names["jug"]], to=desk.names["store"])
    desk.post(page(desk, "home"), {str(desk.names["jug"]): "4 kg"})
    people.give_way_in(person=desk.shop.crew, username="odd", password="a-long-one-for-tests")
    desk.force_login(User.objects.get(username="odd"), "django.contrib.auth.backends.ModelBackend")
    answer = desk.get(page(desk, "home"))
    assert "Nothing waits to be unloaded. Nothing waits to be counted." in plain(answer)
    assert record in answer.content.decode()


def test_trips_page_leads_to_what_the_trips_teach(desk):
    """From the list of trips; without any trip there is nothing to teach."""
    assert reverse("usage-factors") in desk.get(reverse("trips")).content.decode()


def test_count_at_home_takes_pieces_and_nothing_without_a_unit_and_a_weight_only_with_one(desk):
    """3 of five top sheets, 0 of the jug; 3 of the jug has no unit."""
    sheets = desk.shop.package("top", pieces(5), number="T", place=desk.names["zone"])
    scan(desk, desk.names["jug"])
    desk.shop.do(road.depart, trip=desk.names["trip"])
    desk.shop.do(stock.draw, package=desk.names["jug"], amount=grams(1000))
    desk.shop.do(stock.draw, package=sheets, amount=pieces(2))
    desk.post(page(desk, "come-home"))
    jug = str(desk.names["jug"])
    answer = desk.post(page(desk, "home"), {str(sheets): "3", jug: "3"})
    assert answer.status_code == 422
    told = plain(answer)
    assert told.index("1 amount cannot be read; nothing is counted yet.") < told.index("Unload:")
    assert f'href="#id_{jug}"' in answer.content.decode()
    above = plain(desk.post(page(desk, "home"), {str(sheets): "6", jug: "0"}))
    assert above.index("more than the 5 pieces it left with") < above.index("Unload:"), (
        "not counted, and said first"
    )
    assert desk.post(page(desk, "home"), {str(sheets): "3", jug: "0"}).status_code == 302
    assert (desk.shop.amount(sheets), desk.shop.amount(desk.names["jug"])) == (3, 0)


def test_home_before_it_left_leads_to_leaving(desk):
    """Nothing to count yet, and no error."""
    assert "has not left" in plain(desk.get(page(desk, "home")))


def test_home_and_load_ask_as_often_for_ten_as_for_one(desk):
    """The same statements for one package and for ten."""
    shop, counts = desk.shop, []
    shop.do(road.load, trip=desk.names["trip"], thing=desk.names["jug"])
    more = [shop.package("resin", grams(50), number=f"M{n}", place=desk.names["zone"]) for n in range(9)]
    shop.do(road.depart, trip=desk.names["trip"])
    shop.do(stock.draw, package=desk.names["jug"], amount=grams(1))
    for name in ("home", "load"):
        desk.get(page(desk, name))
        with CaptureQueriesContext(connection) as one:
            desk.get(page(desk, name))
        counts.append(len(one))
    for each in more:
        shop.do(stock.draw, package=each, amount=grams(1))
        shop.do(loading.put_on_list, trip=desk.names["trip"], things=[each], zone=desk.names["zone"])
    for name, before in zip(("home", "load"), counts, strict=True):
        with CaptureQueriesContext(connection) as ten:
            desk.get(page(desk, name))
        assert len(ten) == before, name


def test_home_says_what_went_to_which_guest(desk):
    """Pair and guest side by side; who was not handed a pair is not named."""
    world = bench_world.world(desk.shop)
    pairs = [world.pair(name) for name in ("Ida Fjell", "Jon Vang")]
    Trip.objects.filter(id=desk.names["trip"]).update(workshops=[str(world.workshop)])
    desk.shop.do(road.depart, trip=desk.names["trip"])
    pair, *skis = pairs[0]
    for ski in skis:
        desk.shop.do(press.lay_up, ski=ski, inputs=[(world.cup(ski), grams(160))])
    machine = bench_world.rated_press(desk.shop)
    run = {"press": machine, "mould": None, "set_kpa": 300.0, "set_c": 60.0, "minutes": 90.0}
    cycle = desk.shop.do(press.record_cycle, skis=skis, **run).thing
    desk.shop.do(press.judge, cycle=cycle, passed=True, why="held")
    for ski in skis:
        desk.shop.do(press.inspect, ski=ski, passed=True, why="straight")
    desk.shop.do(press.finish, skis=skis)
    desk.shop.do(press.hand_over, pair=pair)
    told = plain(desk.get(page(desk, "home")))
    assert re.search(rf"{code(pair)[:4]}\S* .*Ida Fjell", told)
    assert "Jon Vang" not in told


def test_bin_with_something_on_hold_in_it_goes_and_names_it(desk):
    """Once the hold is lifted nothing is said."""
    bin_ = desk.shop.place(Kind.BIN, "bin 7", desk.names["store"])
    can = desk.shop.package("glue", place=bin_)
    desk.shop.do(loading.put_on_list, trip=desk.names["trip"], things=[bin_], zone=desk.names["zone 2"])
    hold = desk.shop.do(stock.hold, things=[can], reason="leaks")
    shown = f"{code(can)[:4]}-{code(can)[4:]}"
    assert scan(desk, bin_).json()["said"] == f"Aboard: zone 2, Wren. On hold in it: {shown}."
    desk.shop.do(stock.lift_hold, hold=Event.objects.get(act=hold.token).id, reason="tight")
    assert scan(desk, bin_, desk.names["zone"]).json()["said"] == "Aboard: zone 1, Wren."


def test_bin_scanned_goes_whole(desk):
    """And what is in it is no line of its own."""
    bin_ = desk.shop.place(Kind.BIN, "bin 7", desk.names["store"])
    can = desk.shop.package("glue", place=bin_)
    desk.shop.do(loading.put_on_list, trip=desk.names["trip"], things=[bin_], zone=desk.names["zone 2"])
    assert scan(desk, can).json()["fixes"][0]["code"] == code(bin_)
    assert scan(desk, bin_).json()["left"] == 1


def test_load_of_a_trip_that_is_home_offers_no_field_to_scan_into(desk):
    """What is scanned there would be refused; until then the field is there."""
    desk.shop.do(road.depart, trip=desk.names["trip"], left_behind=1, against=0)
    assert "Scan here" in plain(desk.get(page(desk, "load")))
    desk.shop.do(road.come_home, trip=desk.names["trip"])
    found = plain(desk.get(page(desk, "load")))
    assert "This trip is home" in found
    assert "Scan here" not in found


def test_scale_says_how_far_off_it_may_be_and_the_next_weighing_begins_with_that(desk):
    """A public scale of 50 lb steps one day, a gauge for the nose the next; 1 lb = 0.45359237 kg exactly
    (NIST Handbook 44, appendix C). Nothing said: 20 kg are assumed, and the page says so."""
    shop, trip, trailer = desk.shop, desk.names["trip"], desk.names["trailer"]
    form = {"when": "leaving", f"mass-{trailer}": "900 kg"}
    assert "Empty: 20 kg is assumed." in plain(desk.get(page(desk, "weigh")))
    shop.do(choose_units, by=shop.by(as_=shop.helper), units="us")
    told = plain(desk.get(page(desk, "weigh")))
    assert "Empty: 44.09 lb is assumed." in told
    assert "no scale for a trailer" in plain(desk.post(page(desk, "weigh"), form | {"mass_doubt_mg": "1 t"}))
    desk.post(page(desk, "weigh"), form | {"mass_doubt_mg": "50 lb", "nose_doubt_mg": "2 lb"})
    (row,) = queries.weighings(trip)
    assert (row.mass_doubt_mg, row.nose_doubt_mg) == (22_679_618, None)  # the nose was not weighed
    found = desk.get(page(desk, "weigh")).content.decode()
    assert re.search(r'name="mass_doubt_mg" value="50 lb"', found)
    assert not re.search(r'name="nose_doubt_mg" value', found)
    desk.post(page(desk, "weigh"), {"when": "leaving", f"nose-{trailer}": "160 lb", "nose_doubt_mg": "1 lb"})
    assert [queries.scale_last(what) for what in ("mass", "nose")] == [22_679_618, 453_592]
