"""Loading by scan, the road, home again: what is refused, beside what differs by one fact."""

from datetime import timedelta
from uuid import UUID

import pytest

from inventory.actions import books, equipment, loading, places, road, stock, trips, usage
from inventory.compute.codes import Kind
from inventory.compute.steps import Basis
from inventory.models import Event, Listed, State, Trip
from inventory.queries import aboard, day_road, home, objections
from inventory.queries import road as read
from inventory.queries.books import differences
from tests import away
from tests.make import Shop, day, grams, refused

pytestmark = pytest.mark.django_db
H = timedelta(hours=1)


@pytest.fixture
def ready(shop: Shop) -> Shop:
    """A trip in three days; a jug on its list for zone 1."""
    away.plan(shop)
    shop.names["jug"] = shop.package("resin", place=shop.names["store"], expires_on=day("2027-06-30"))
    put(shop, shop.names["jug"], zone=shop.names["zone"])
    return shop


def put(shop: Shop, *things: UUID, **more: object) -> None:
    shop.do(loading.put_on_list, trip=shop.names["trip"], things=list(things), **more)


def load(shop: Shop, thing: UUID, **more: object) -> UUID | None:
    shop.do(road.load, trip=shop.names["trip"], thing=thing, **more)
    return lies(thing)


def lies(thing: UUID) -> UUID | None:
    return State.objects.get(thing_id=thing).place_id


def fixes(shop: Shop, thing: UUID, to: UUID | None = None, *sure: str) -> list[str]:
    facts = aboard.facts_of(Trip.objects.get(id=shop.names["trip"]), shop.at.date())
    found = objections.objection(facts, aboard.Scan(thing, "X", to, frozenset(sure)))
    return [str(fix.label) for fix in found.fixes] if found else []


def test_load_moves_it_where_the_list_says_or_where_it_was_put(ready):
    """The place is the tick: the list has no other."""
    assert load(ready, ready.names["jug"]) == ready.names["zone"]
    assert load(ready, ready.names["jug"], to=ready.names["zone 2"]) == ready.names["zone 2"]


def test_load_when_another_phone_ticked_it_writes_nothing_more(ready):
    """Two phones, two tokens, one move; another zone is another move."""
    load(ready, ready.names["jug"])
    load(ready, ready.names["jug"])
    assert Event.objects.filter(step="moved").count() == 1


def test_load_takes_a_bin_with_all_in_it_and_says_so_of_what_is_inside(ready):
    """A bin on the list goes whole; a jug in it, scanned alone, is led to the bin."""
    bin_ = ready.place(Kind.BIN, "bin 7", ready.names["store"])
    can = ready.package("glue", place=bin_)
    put(ready, bin_, zone=ready.names["zone 2"])
    with refused("loading.in_bin", "bin 7"):
        load(ready, can)
    assert fixes(ready, can) == ["Load bin 7 with all in it"]
    assert load(ready, bin_) == ready.names["zone 2"]
    assert lies(can) == bin_


def test_load_into_another_trips_trailer_is_refused_and_into_ours_is_not(ready):
    """Wrong trailer: said, with the zone of the list at one tap."""
    other = ready.place(Kind.TRAILER, "Heron", ready.names["yard"])
    with refused("loading.other_trailer", "trailer"):
        load(ready, ready.names["jug"], to=other)
    assert fixes(ready, ready.names["jug"], other) == ["Put it into zone 1, Wren"]
    assert load(ready, ready.names["jug"], to=ready.names["zone 2"]) == ready.names["zone 2"]


def test_load_what_is_not_listed_is_refused_until_someone_wants_it(ready):
    """One tap puts it on the list and loads it."""
    glue = ready.package("glue")
    with refused("loading.not_listed"):
        load(ready, glue, to=ready.names["zone"])
    assert fixes(ready, glue, ready.names["zone"]) == ["Put it on the list and load it"]
    load(ready, glue, to=ready.names["zone"], sure=["listed"])
    assert Listed.objects.filter(thing_id=glue, ended=False).exists()


def test_load_of_another_lot_than_the_list_names_is_said_and_can_be_swapped(ready):
    """The list has jug N-1; N-2 is scanned: that one, or this in its place."""
    second = ready.package("resin", number="N-2", expires_on=day("2027-06-30"))
    with refused("loading.wrong_lot", "N-1"):
        load(ready, second)
    assert len(fixes(ready, second)) == 2
    load(ready, second, sure=["swap"])
    assert lies(second) == ready.names["zone"]
    assert not Listed.objects.filter(thing_id=ready.names["jug"], ended=False).exists()


def test_load_of_what_is_on_hold_is_refused_and_of_what_is_free_is_not(ready):
    """A hold placed after it was listed is met at the scan."""
    hold = ready.do(stock.hold, things=[ready.names["jug"]], reason="cloudy")
    with refused("stock.on_hold"):
        load(ready, ready.names["jug"])
    event = Event.objects.get(act=hold.token)
    ready.do(stock.lift_hold, hold=event.id, reason="clear")
    load(ready, ready.names["jug"])


def test_load_of_what_is_on_hold_offers_another_in_its_place(ready):
    """Another lot of the material that lasts, at one tap; without one there is nothing to offer."""
    ready.do(stock.hold, things=[ready.names["jug"]], reason="cloudy")
    assert fixes(ready, ready.names["jug"]) == []
    other = ready.package("resin", number="N-2", expires_on=day("2027-06-30"))
    (label,) = fixes(ready, ready.names["jug"])
    assert label.startswith("Take P")
    assert load(ready, other, sure=["swap"]) == ready.names["zone"]


def test_load_of_what_passes_its_date_on_the_way_is_said(ready):
    """Past before the last workshop ends: leave it, or load it all the same."""
    old = ready.package("glue", expires_on=ready.at.date() + timedelta(4))
    put(ready, old, zone=ready.names["zone"])
    with refused("loading.past"):
        load(ready, old)
    assert fixes(ready, old)[-1] == "Load it all the same"
    assert load(ready, old, sure=["past"]) == ready.names["zone"]
    lasts = ready.package("glue", number="N-9", expires_on=ready.at.date() + timedelta(5))
    put(ready, lasts, zone=ready.names["zone"])
    load(ready, lasts)


def test_load_when_a_sooner_lot_stands_behind_it_is_said(ready):
    """First expired, first out; a smaller or a later one is not named."""
    ready.package("resin", grams(10), number="SMALL", expires_on=day("2027-01-31"))
    ready.package("resin", number="LATER", expires_on=day("2027-12-31"))
    load(ready, ready.names["jug"])
    ready.do(places.move, things=[ready.names["jug"]], to=ready.names["store"])
    ready.package("resin", number="SOONER", expires_on=day("2027-01-31"))
    with refused("loading.better", "31"):
        load(ready, ready.names["jug"])
    assert fixes(ready, ready.names["jug"])[1] == "Load it all the same"
    load(ready, ready.names["jug"], sure=["better"])


def test_load_beside_what_it_must_not_lie_beside_is_refused_and_elsewhere_is_not(ready):
    """Clean gear in zone 1: resin goes to zone 2 at one tap."""
    mask = ready.do(
        equipment.make_equipment, kind=Kind.EQUIPMENT, name="Masks", facts={"sort": "respirator"}
    ).thing
    put(ready, mask, zone=ready.names["zone"])
    load(ready, mask)
    with refused("loading.beside", "Masks"):
        load(ready, ready.names["jug"])
    assert fixes(ready, ready.names["jug"]) == ["Put it into zone 2, Wren"]
    load(ready, ready.names["jug"], to=ready.names["zone 2"])


def test_load_with_no_zone_chosen_asks_which(ready):
    """Neither the list nor a scan says where to: each zone at one tap."""
    glue = ready.package("glue")
    put(ready, glue)
    with refused("loading.which_zone"):
        load(ready, glue)
    assert fixes(ready, glue) == ["Put it into zone 1, Wren", "Put it into zone 2, Wren"]


def test_load_for_a_trip_that_is_home_or_for_another_trip_is_refused(ready):
    """A scan for a closed trip; and a thing that another trip takes."""
    other = away.another(
        ready, 4, 5, ready.place(Kind.TRAILER, "Heron"), [ready.names["workshop"]], "Low hut"
    )
    glue = ready.package("glue")
    ready.do(loading.put_on_list, trip=other, things=[glue])
    part = ready.package("glue", number="N-2")
    ready.do(loading.set_aside, trip=other, package=part, amount=grams(5))
    for thing in (glue, part):
        with refused("loading.taken", "Low hut"):
            load(ready, thing, to=ready.names["zone"], sure=["listed"])
    ready.do(road.depart, trip=ready.names["trip"])
    ready.do(road.come_home, trip=ready.names["trip"])
    with refused("loading.closed", "High hut"):
        load(ready, ready.names["jug"])


def test_scan_of_a_phone_that_comes_back_three_days_later_counts_when_it_was_made(ready):
    """Scanned before they left, sent when they were home and had unloaded: it lies where it is now."""
    made = ready.at + H
    ready.at = made + H
    ready.do(road.depart, trip=ready.names["trip"])
    ready.at += 60 * H
    ready.do(road.come_home, trip=ready.names["trip"])
    ready.do(places.move, things=[ready.names["jug"]], to=ready.names["store"])
    ready.at += 12 * H
    load(ready, ready.names["jug"], by=ready.by(at=made))
    assert lies(ready.names["jug"]) == ready.names["store"]
    assert Event.objects.get(step="moved", late=True).at == made
    assert list(differences()) == []


def test_depart_arrive_and_home_come_in_order_and_once(ready):
    """Each is on record with its moment; out of order or twice it is refused."""
    trip = ready.names["trip"]
    with refused("road.not_away"):
        ready.do(road.arrive, trip=trip)
    with refused("road.not_away"):
        ready.do(road.come_home, trip=trip)
    ready.do(road.depart, trip=trip, left_behind=1)
    with refused("road.departed"):
        ready.do(road.depart, trip=trip)
    ready.do(road.arrive, trip=trip)
    with refused("road.arrived"):
        ready.do(road.arrive, trip=trip)
    assert [str(note.sentence)[:24] for note in day_road.notes(ready.at)] == ["On the road to High hut "]
    ready.do(road.come_home, trip=trip)
    with refused("road.home"):
        ready.do(road.come_home, trip=trip)
    assert [str(note.sentence)[:19] for note in day_road.notes(ready.at)] == ["Home from High hut:"]
    ready.do(usage.record_trip, trip=trip)
    assert day_road.notes(ready.at) == []
    found = read.standing(trip)
    assert found.departed_at < found.arrived_at < found.home_at
    assert read.facts_of(trip, read.DEPARTED)["left_behind"] == 1
    steps = Event.objects.filter(step__in=read.STEPS).values_list("biz_step", flat=True)
    assert sorted(steps) == ["arriving", "arriving", "departing"]


def test_depart_of_a_cancelled_trip_is_refused(ready):
    """The same trip, not cancelled, leaves."""
    ready.do(trips.change_trip, trip=ready.names["trip"], changes={"cancelled": True})
    with refused("road.cancelled"):
        ready.do(road.depart, trip=ready.names["trip"])
    ready.do(trips.change_trip, trip=ready.names["trip"], changes={"cancelled": False})
    ready.do(road.depart, trip=ready.names["trip"])


@pytest.fixture
def back(ready: Shop) -> Shop:
    """5 kg of resin left with them; 1 kg was taken out, 400 g of it by the needs alone; home again."""
    load(ready, ready.names["jug"])
    ready.at += H
    ready.do(road.depart, trip=ready.names["trip"])
    ready.do(stock.draw, package=ready.names["jug"], amount=grams(600), basis=Basis.WEIGHED)
    ready.do(stock.draw, package=ready.names["jug"], amount=grams(400), basis=Basis.FROM_NEEDS)
    ready.at += 48 * H
    ready.do(road.come_home, trip=ready.names["trip"])
    return ready


def test_used_says_what_was_taken_out_and_what_is_not_counted_yet(back):
    """What is counted stands at what was found; another jug, not aboard, is not in it."""
    back.do(stock.draw, package=back.package("hardener"), amount=grams(5))
    (row,) = home.used(away.trip(back))
    assert (row.had, row.taken, row.prefilled, row.counted_at) == (5_000_000, 1_000_000, 400_000, None)
    back.do(road.count_home, trip=back.names["trip"], counts=[(back.names["jug"], grams(3900))])
    (row,) = home.used(away.trip(back))
    assert (row.left, row.gone) == (3_900_000, 1_100_000)
    assert row.counted_at is not None


def test_count_above_what_was_loaded_is_refused_and_at_it_is_not(back):
    """5 kg left with them; 5.1 kg cannot come home."""
    with refused("road.above_loaded", "5.1 kg", "5 kg"):
        back.do(road.count_home, trip=back.names["trip"], counts=[(back.names["jug"], grams(5100))])
    with refused("road.nothing_counted"):
        back.do(road.count_home, trip=back.names["trip"], counts=[])
    back.do(road.count_home, trip=back.names["trip"], counts=[(back.names["jug"], grams(5000))])


def test_waste_heavier_than_what_was_taken_out_is_refused_and_lighter_is_not(back):
    """1 kg was taken out: 1.2 kg of chemical waste is not of it, also not in two weighings."""
    with refused("road.waste_above", "1.2 kg", "1.0 kg"):
        back.do(road.weigh_waste, trip=back.names["trip"], sort="chemical", mass_mg=1_200_000)
    back.do(road.weigh_waste, trip=back.names["trip"], sort="chemical", mass_mg=700_000)
    with refused("road.waste_above", "1.2 kg"):
        back.do(road.weigh_waste, trip=back.names["trip"], sort="chemical", mass_mg=500_000)
    back.do(road.weigh_waste, trip=back.names["trip"], sort="other", mass_mg=9_000_000)
    assert home.waste(back.names["trip"]) == {"chemical": 700_000, "other": 9_000_000}
    with refused("road.waste_sort"):
        back.do(road.weigh_waste, trip=back.names["trip"], sort="gold", mass_mg=1)
    with refused("road.waste_mass"):
        back.do(road.weigh_waste, trip=back.names["trip"], sort="other", mass_mg=0)


def test_still_aboard_and_missing_after_the_trip(back):
    """What lies in the trailer is to be unloaded; unloaded it is not."""
    assert [thing.id for thing in home.still_aboard(away.trip(back)).unload] == [back.names["jug"]]
    back.do(places.move, things=[back.names["jug"]], to=back.names["store"])
    assert home.still_aboard(away.trip(back)).unload == ()
    assert home.missing(away.trip(back)) == []


def test_what_is_not_here_is_missing_until_it_turns_up(back):
    """Said while unloading; scanned into the store it is missing no more."""
    trip, jug = back.names["trip"], back.names["jug"]
    said = back.do(road.not_here, trip=trip, thing=jug)
    assert [thing.id for thing in home.missing(away.trip(back))] == [jug]
    assert home.still_aboard(away.trip(back)).unload == ()
    with refused("road.not_aboard"):
        back.do(road.not_here, trip=trip, thing=jug)
    back.do(books.undo, token=said.token, reason="it lay under a blanket")
    assert [thing.id for thing in home.still_aboard(away.trip(back)).unload] == [jug]
    back.do(road.not_here, trip=trip, thing=jug)
    back.do(places.move, things=[jug], to=back.names["store"])
    assert home.missing(away.trip(back)) == []
    assert list(differences()) == []


def test_bin_that_is_not_here_is_missing_with_all_in_it(ready):
    """What never was in these trailers, or a trip that has not left, is refused."""
    bin_ = ready.place(Kind.BIN, "bin 7", ready.names["zone"])
    can = ready.package("glue", place=bin_)
    trip = {"trip": ready.names["trip"]}
    with refused("road.not_away"):
        ready.do(road.not_here, **trip, thing=bin_)
    ready.do(road.depart, **trip)
    with refused("road.not_aboard"):
        ready.do(road.not_here, **trip, thing=ready.names["jug"])
    ready.do(road.not_here, **trip, thing=bin_)
    assert [thing.id for thing in home.missing(away.trip(ready))] == [bin_]
    assert home.still_aboard(away.trip(ready)).unload == ()
    assert lies(can) == bin_


def test_departure_is_not_undone_under_an_arrival_and_is_once_that_is(ready):
    """Else a trip would be home that never left, and nothing of it could be counted."""
    trip = {"trip": ready.names["trip"]}
    left = ready.do(road.depart, **trip)
    arrived = ready.do(road.arrive, **trip)
    home_again = ready.do(road.come_home, **trip)
    with refused("books.touched", "came home"):
        ready.do(books.undo, token=left.token, reason="another trip")
    for done in (home_again, arrived, left):
        ready.do(books.undo, token=done.token, reason="another trip")
    assert read.standing(ready.names["trip"]) == read.Standing()
    ready.do(road.depart, **trip)
    assert read.standing(ready.names["trip"]).away
    assert list(differences()) == []


def test_equipment_that_the_list_named_is_to_be_unloaded_and_what_lay_there_may_stay(back):
    """A press that lives in the trailer stays; the mould of the list is carried out."""
    press_, mould = (
        back.do(equipment.make_equipment, kind=kind, name=kind.value, place=back.names["zone"]).things[0]
        for kind in (Kind.PRESS, Kind.MOULD)
    )
    before = {thing.id for thing in home.still_aboard(away.trip(back)).stays}
    assert before == {press_, mould}
    back.do(loading.put_on_list, trip=back.names["trip"], things=[mould])
    found = home.still_aboard(away.trip(back))
    assert mould in {thing.id for thing in found.unload}
    assert {thing.id for thing in found.stays} == {press_}
