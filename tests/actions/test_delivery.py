"""Deliveries of several lots, and lots' cards put right: each refusal beside what differs by one fact."""

from dataclasses import replace

import pytest

from inventory.actions import delivery, materials, stock
from inventory.actions.delivery import Apart, LotRow
from inventory.actions.papers import File
from inventory.compute.codes import Kind
from inventory.compute.units import Base
from inventory.models import Event, Lot, Package, Paper, Revision
from inventory.queries import stock as read
from inventory.queries import things
from tests.make import day, grams, metres, refused

pytestmark = pytest.mark.django_db


def test_delivery_of_five_lots_is_one_act_and_bears_every_package_in_its_place(shop):
    """Five rows: five lots, their packages, one token; everything lies in the bin."""
    bin_ = shop.place(Kind.BIN)
    rows = [LotRow(shop.material(f"m{n}", Base.MG), f"N-{n}", (grams(100),) * (n + 1)) for n in range(5)]
    done = shop.do(delivery.receive_delivery, lots=rows, place=bin_)
    assert Lot.objects.count() == 5
    assert Package.objects.filter(thing__state__place_id=bin_).count() == 1 + 2 + 3 + 4 + 5
    assert set(Event.objects.filter(step="received").values_list("act", flat=True)) == {done.token}


def test_delivery_when_one_row_is_wrong_writes_nothing(shop):
    """All of it or nothing: the good row beside a bad one is not kept."""
    resin = shop.material("resin", Base.MG)
    good = LotRow(resin, "N-1", (grams(1),))
    with refused("stock.no_packages"):
        shop.do(delivery.receive_delivery, lots=[good, LotRow(resin, "N-2", ())])
    assert not Lot.objects.exists()
    shop.do(delivery.receive_delivery, lots=[good])
    assert Lot.objects.count() == 1


def test_delivery_of_no_lot_is_refused(shop):
    """An empty page was sent."""
    with refused("stock.nothing_came"):
        shop.do(delivery.receive_delivery, lots=[])


def test_delivery_puts_some_packages_of_a_lot_apart_and_the_rest_in_its_place(shop):
    """Twelve rolls: eight in the store, four straight into a zone; one act, and the books say so."""
    store, zone = shop.place(Kind.STORE), shop.place(Kind.ZONE, inside=shop.place(Kind.TRAILER))
    row = LotRow(shop.material("glass", Base.MM), "G-1", (metres(50),) * 12)
    done = shop.do(
        delivery.receive_delivery, lots=[replace(row, apart=(Apart(zone, (metres(50),) * 4),))], place=store
    )
    lies = Package.objects.order_by("thing_id").values_list("thing__state__place_id", flat=True)
    assert [*lies].count(store) == 8
    assert [*lies].count(zone) == 4
    (event,) = Event.objects.filter(step="received")
    assert (event.act, event.lines.filter(role="output").count()) == (done.token, 12)
    codes = things.codes_of(each for each in done.things if each in set(lies_in(zone)))
    assert codes == things.codes_of(done.things)[-4:], "what goes apart has the last tags of the lot"


def lies_in(place):
    return Package.objects.filter(thing__state__place_id=place).values_list("thing_id", flat=True)


def test_delivery_when_more_is_put_apart_than_came_is_refused(shop):
    """Of 12 not 13, nor 12 of a size that did not come; all 12 may."""
    store, bin_ = shop.place(Kind.STORE), shop.place(Kind.BIN)
    row = LotRow(shop.material("glass", Base.MM), "G-1", (metres(50),) * 12)

    def receive(*apart):
        return shop.do(delivery.receive_delivery, lots=[replace(row, apart=apart)], place=store)

    with refused("stock.more_apart", "came: 12", "places: 13"):
        receive(Apart(bin_, (metres(50),) * 7), Apart(store, (metres(50),) * 6))
    with refused("stock.more_apart", "25 m"):
        receive(Apart(bin_, (metres(25),)))
    assert not Lot.objects.exists()
    receive(Apart(bin_, (metres(50),) * 6), Apart(store, (metres(50),) * 6))
    assert len(lies_in(bin_)) == 6


def test_delivery_sent_twice_with_its_packages_apart_is_one(shop):
    """The same token, the same content: the first answer again."""
    by, bin_ = shop.by(), shop.place(Kind.BIN)
    row = LotRow(
        shop.material("glass", Base.MM), "G-1", (metres(50),) * 2, apart=(Apart(bin_, (metres(50),)),)
    )
    first, again = (shop.do(delivery.receive_delivery, by=by, lots=[row]) for _ in range(2))
    assert (again.things, again.again) == (first.things, True)
    assert Package.objects.count() == 2


def test_delivery_names_one_lot_twice_and_keeps_one(shop):
    """Two rows of one number are two sizes of one lot."""
    resin = shop.material("resin", Base.MG)
    shop.do(
        delivery.receive_delivery,
        lots=[LotRow(resin, "N-1", (grams(5000),)), LotRow(resin, "N-1", (grams(1000),))],
    )
    assert Lot.objects.get().packages.count() == 2


def test_delivery_keeps_its_paper_with_each_lot(shop):
    """One certificate, two lots: a paper with each."""
    resin, edge = shop.material("resin", Base.MG), shop.material("edge", Base.MM)
    paper = File("ab" * 32, "application/pdf", 1000, "certificate")
    rows = [LotRow(resin, "N-1", (grams(1),)), LotRow(edge, "E-1", (metres(1),))]
    shop.do(delivery.receive_delivery, lots=rows, papers=[paper])
    lots = set(Lot.objects.values_list("thing_id", flat=True))
    assert set(Paper.objects.values_list("about", flat=True)) == lots


def life(shop, months):
    return shop.do(
        materials.make_material, key=f"m{months}", name="m", base=Base.MG, facts={"shelf_life_months": months}
    ).thing


def test_receive_without_a_printed_date_counts_the_shelf_life_from_the_making(shop):
    """Made 31 August 2026, six months: the last day of February, and the lot says how it was got."""
    material = life(shop, 6)
    row = LotRow(material, "N-1", (grams(1),), made_on=day("2026-08-31"))
    shop.do(delivery.receive_delivery, lots=[row])
    lot = Lot.objects.get()
    assert (lot.expires_on, lot.by_shelf_life) == (day("2027-02-28"), True)
    assert Package.objects.get().expires_on == day("2027-02-28")


def test_receive_with_a_printed_date_keeps_it_and_without_a_making_knows_none(shop):
    """The label outranks the shelf life; without either there is no date."""
    material = life(shop, 6)
    printed = LotRow(material, "N-1", (grams(1),), made_on=day("2026-08-31"), expires_on=day("2027-08-31"))
    shop.do(delivery.receive_delivery, lots=[printed, LotRow(material, "N-2", (grams(1),))])
    told = {lot.number: (lot.expires_on, lot.by_shelf_life) for lot in Lot.objects.all()}
    assert told == {"N-1": (day("2027-08-31"), False), "N-2": (None, False)}


def test_receive_of_a_known_lot_with_other_dates_is_refused_until_its_card_is_put_right(shop):
    """The label says 2028, the card 2027: put the card right, then it is received; packages follow."""
    resin = shop.material("resin", Base.MG)
    shop.package(number="N-1", expires_on=day("2027-06-01"))
    again = {"material": resin, "number": "N-1", "packages": [grams(1)], "expires_on": day("2028-06-01")}
    with refused("stock.other_dates", "N-1"):
        shop.do(stock.receive_lot, **again)
    lot = Lot.objects.get()
    shop.do(delivery.edit_lot, lot=lot.thing_id, changes={"expires_on": day("2028-06-01")})
    shop.do(stock.receive_lot, **again)
    assert set(Package.objects.values_list("expires_on", flat=True)) == {day("2028-06-01")}


def test_edit_lot_leaves_an_earlier_date_of_a_package_alone_and_lets_none_be_later(shop):
    """A package with a shorter date of its own keeps it, until the lot's is shorter still."""
    jug = shop.package(number="N-1", expires_on=day("2027-06-01"))
    lot = read.package(jug).lot_id
    Package.objects.filter(thing_id=jug).update(expires_on=day("2027-01-01"))
    shop.do(delivery.edit_lot, lot=lot, changes={"expires_on": day("2028-06-01")})
    assert read.package(jug).expires_on == day("2027-01-01")
    shop.do(delivery.edit_lot, lot=lot, changes={"expires_on": day("2026-12-24")})
    assert read.package(jug).expires_on == day("2026-12-24")


def test_edit_lot_to_what_cannot_be_is_refused(shop):
    """Dates the wrong way round, a making to come, another lot's number; each beside what is right."""
    shop.package(number="N-1", expires_on=day("2027-06-01"))
    other = read.package(shop.package(number="N-2", expires_on=day("2027-06-01"))).lot_id
    with refused("stock.made_after_expiry"):
        shop.do(
            delivery.edit_lot,
            lot=other,
            changes={"made_on": day("2026-06-02"), "expires_on": day("2026-06-01")},
        )
    with refused("stock.not_made_yet"):
        shop.do(delivery.edit_lot, lot=other, changes={"made_on": day("2027-01-01")})
    with refused("stock.lot_known", "N-1"):
        shop.do(delivery.edit_lot, lot=other, changes={"number": "N-1"})
    with refused("card.unknown"):
        shop.do(delivery.edit_lot, lot=shop.owner, changes={"number": "N-3"})
    assert Lot.objects.get(thing_id=other).number == "N-2"
    shop.do(delivery.edit_lot, lot=other, changes={"number": "N-3", "made_on": day("2026-06-01")})
    assert Revision.objects.filter(card="lot", card_id=other).count() == 2


def opened_life(shop, days):
    return shop.do(
        materials.make_material, key="hard", name="Hardener", base=Base.MG, facts={"opened_life_days": days}
    ).thing


def jug_of(shop, material, **more):
    return shop.do(stock.receive_lot, material=material, number="H", packages=[grams(1000)], **more).things[
        -1
    ]


def test_use_past_the_life_once_opened_is_refused_though_the_label_is_in_date(shop):
    """Opened, then used: on the last day it is allowed, the day after it is refused, and says by what."""
    jug = jug_of(shop, opened_life(shop, 10), expires_on=day("2027-06-01"))
    shop.do(stock.open_package, package=jug)
    shop.at = shop.at.replace(month=12, day=10)
    shop.do(stock.draw, package=jug, amount=grams(1))
    shop.at = shop.at.replace(day=11)
    with refused("stock.expired", "2026-12-10", "opening"):
        shop.do(stock.draw, package=jug, amount=grams(1))


def test_first_draw_opens_what_has_a_life_once_opened_and_nothing_else(shop):
    """A jug of hardener is open once something was taken out; a jug without such a life stays as it was."""
    jug = jug_of(shop, opened_life(shop, 10))
    plain = shop.package()
    for package in (jug, plain):
        shop.do(stock.draw, package=package, amount=grams(1))
    opened = Event.objects.filter(step="opened", lines__thing_id=jug)
    assert opened.count() == 1
    assert not Event.objects.filter(step="opened", lines__thing_id=plain).exists()
    shop.do(stock.draw, package=jug, amount=grams(1))
    assert opened.count() == 1


def test_split_of_an_open_jug_gives_the_bottle_no_new_life(shop):
    """Poured from a jug that lasts to 10 December: so does the bottle, whatever the label says."""
    jug = jug_of(shop, opened_life(shop, 10), expires_on=day("2027-06-01"))
    bottle = shop.do(stock.split_package, package=jug, amount=grams(100)).thing
    assert read.package(bottle).expires_on == day("2026-12-10")
    assert read.package(jug).expires_on == day("2027-06-01")
