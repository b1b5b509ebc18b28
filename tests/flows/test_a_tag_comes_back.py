"""A tag comes back, on the demo: from the scan to whom to tell; and on two laptops that were apart."""

import shutil
from datetime import date
from pathlib import Path

import pytest
from django.contrib.auth import get_user_model
from django.urls import reverse
from scipy import stats

from inventory.actions import press, recalls, stock
from inventory.compute.codes import Kind
from inventory.compute.steps import Role
from inventory.compute.suspects import Band
from inventory.models import Event, Hold, Line, Lot, Package, Recall, Ski, Tag, Workshop
from inventory.queries import dossier, skis_back
from inventory.queries import recalls as queries
from inventory.queries.books import differences
from inventory.queries.skis_back.reach import reach, spread
from inventory.queries.skis_back.shelf import left
from inventory.queries.skis_back.suspects import suspects
from tests.make import grams, pieces, refused
from tests.reading import Client
from tests.returns import TIP, Bench
from tests.seasons import books, made

pytestmark = pytest.mark.own_books

BACKEND = "django.contrib.auth.backends.ModelBackend"


@pytest.fixture(scope="session")
def season(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return made(tmp_path_factory)


@pytest.fixture
def opened(season, tmp_path, django_db_blocker):
    """A copy of the demo's books, so that a recall in it is nobody else's."""
    copy = tmp_path / "copy"
    shutil.copytree(season, copy, ignore=shutil.ignore_patterns("serving.*"))
    with books(copy, django_db_blocker):
        yield


def today() -> date:
    return Workshop.objects.filter(name="Kvitskard").order_by("starts_on").last().starts_on


def code(thing) -> str:
    return Tag.objects.get(thing_id=thing).code


def signed_in(name: str) -> Client:
    client = Client()
    client.force_login(get_user_model().objects.get(username=name), BACKEND)
    return client


def from_raw_events(jug) -> set:
    """The skis below a jug, computed here from the lines of every event that counts."""
    lines = Line.objects.filter(event__skipped__isnull=True).values_list("event_id", "thing_id", "role")
    into, out = {}, {}
    for event, thing, role in lines:
        if role == Role.INPUT:
            into.setdefault(thing, set()).add(event)
        elif role in (Role.OUTPUT, Role.GAINS):
            out.setdefault(event, set()).add(thing)
    reached, edge = {jug}, {jug}
    while edge:
        edge = {made for thing in edge for event in into.get(thing, ()) for made in out.get(event, ())}
        edge -= reached
        reached |= edge
    return reached & set(Ski.objects.values_list("thing_id", flat=True))


def test_returns_of_the_demo_lead_to_the_jug_and_the_old_lot_is_not_accused(opened):
    """Trouble 4: five pairs of one line; four edges of the oldest season, whose lot is only old.

    Outside check: scipy.stats.hypergeom over all seasons at once, which would accuse the old lot.
    """
    assert len(skis_back.backs(failure=TIP)) == 5
    page = suspects(TIP)
    (jug,) = [row for row in Package.objects.filter(lot__number="TH-2466") if _poured(row)]
    first = page.told[0]
    named = {thing.id for _, thing in first.leads if thing}
    assert first.suspect.band is Band.UNLIKELY
    assert (first.suspect.exposed, first.suspect.returned_exposed) == (5, 5)
    assert jug.thing_id in named
    assert {row.suspect.band for row in page.told[1:]} <= {Band.CHANCE, Band.LOOK}
    old = suspects("edge")
    bands = {
        row.suspect.band
        for row in (*old.told, *old.untold)
        for factor, _ in row.leads
        if factor.code in ("TR-6104", "TH-2231")
    }
    assert bands
    assert bands <= {Band.SEASON, Band.TOO_FEW}
    lot = Lot.objects.get(number="TR-6104")
    with_it = len(spread(reach([lot.thing_id]).skis).out)
    every = Line.objects.filter(event__step="handed over", thing__kind=Kind.PAIR).count()
    assert stats.hypergeom.sf(3, every, with_it, 4) < 0.05  # all seasons in one pot would accuse it
    assert Band.UNLIKELY not in {row.suspect.band for row in old.told}


def _poured(row: Package) -> bool:
    """The jug as it was delivered, not one of the two that were poured from it."""
    return Line.objects.filter(thing_id=row.thing_id, role="output", event__step="received").exists()


def test_from_the_scan_to_whom_to_tell_on_the_demos_pages(opened):
    """Scan, return, suspects, what shares it, recall: each page leads to the next; nothing is left out."""
    owner, helper = signed_in("ragna"), signed_in("sunniva")
    back = skis_back.backs(failure=TIP)[0]
    scanned = owner.get(reverse("scan"), {"code": back.skis[0].code}, follow=True).content.decode()
    case = reverse("skis-back-case", args=[back.id])
    assert case in owner.get(reverse("skis-back")).content.decode()
    assert case in scanned
    told = owner.get(case).content.decode()
    assert reverse("skis-back-suspects") + f"?failure={TIP}" in told
    page = owner.get(reverse("skis-back-suspects"), {"failure": TIP}).content.decode()
    (jug,) = [row for row in Package.objects.filter(lot__number="TH-2466") if _poured(row)]
    forward = reverse("skis-back-forward", args=[code(jug.thing_id)])
    assert f'href="{forward.replace(code(jug.thing_id), _shown(jug.thing_id))}"' in page or forward in page
    shares = owner.get(forward).content.decode()
    assert "10 skis have it in them" in shares
    values = {
        "roots": code(jug.thing_id),
        "name": "Jug of TH-2466",
        "failure": TIP,
        "may_hurt": "on",
        "reason": "five tips part",
    }
    done = owner.post(reverse("recalls-open"), values)
    assert done.status_code == 302
    recall = Recall.objects.get()
    found = queries.standing(recall)
    assert set(found.taken_in) == from_raw_events(jug.thing_id)
    assert len(found.states) == 5
    (workshop,) = Workshop.objects.filter(pairs__thing_id__in=found.states).distinct()
    assert set(found.states) == set(workshop.pairs.values_list("thing_id", flat=True))
    listed = owner.get(done["Location"]).content.decode()
    for pair in workshop.pairs.select_related("guest"):
        assert pair.guest.name in listed
    stock_left = left(reach([jug.thing_id]).others, today())
    assert {row.trailer for row in stock_left} == {"Stoat", "Ptarmigan"}
    held = set(Hold.objects.values_list("thing_id", flat=True))
    for row in stock_left:
        assert row.thing.id in held
        stopped = helper.post(
            reverse("stock-draw", args=[row.thing.code]), {"amount": "10 g", "token": _token(row)}
        )
        assert stopped.status_code == 409
        assert "is on hold" in stopped.content.decode()
    stranger = Client()
    for ski in found.taken_in:
        page = stranger.get(reverse("public-tag", args=["OBJ", code(ski)])).content.decode()
        assert "Stop using them." in page
    other = Ski.objects.exclude(thing_id__in=found.taken_in).first()
    page = stranger.get(reverse("public-tag", args=["OBJ", code(other.thing_id)])).content.decode()
    assert "Stop using them." not in page
    assert list(differences()) == []


def _shown(thing) -> str:
    shown = code(thing)
    return f"{shown[:4]}-{shown[4:]}"


def _token(row) -> str:
    return str(row.thing.id)


def test_hold_reaches_the_other_laptop_and_its_ski_is_found_since(laptops):
    """B used the same jug while apart; A recalled. After they met, B's helper is stopped at the scan."""
    found, shop = laptops("AB")
    with found["A"].in_hand():
        bench = Bench(shop)
        out = bench.pair("TH-2466")
        work = bench.pair("TH-1", over=False, guest="Ola")
        jug = bench.jug("TH-2466")
    found["B"].merge(found["A"].export(), shop.by())
    found["B"].do(press.inspect, shop.by(), ski=work.left, passed=False, why="the tip is dry")
    found["B"].do(press.lay_up, shop.by(), ski=work.left, inputs=[(jug, grams(30))])
    values = {"roots": [jug], "name": "One jug", "failure": TIP, "reason": "tips part"}
    recall = found["A"].do(recalls.open_recall, shop.by(), **values).things[-1]
    with found["A"].in_hand():
        standing = queries.standing(Recall.objects.get(id=recall))
        assert set(standing.taken_in) == {out.left, out.right}
        assert standing.since == frozenset()
    for one, other in ("AB", "BA"):
        found[other].merge(found[one].export(), shop.by())
    with found["B"].in_hand():
        helper = shop.by(as_=shop.helper)
        with refused("stock.on_hold"):
            press.finish(helper, skis=[work.left])
        with refused("stock.on_hold"):
            stock.draw(shop.by(as_=shop.helper), package=jug, amount=grams(1))
        stock.draw(shop.by(as_=shop.helper), package=bench.blanks, amount=pieces(1))
    with found["A"].in_hand():
        standing = queries.standing(Recall.objects.get(id=recall))
        assert standing.since == {work.left}
    with found["A"].in_hand(), refused("recall.owner_decides"):
        recalls.add_found(shop.by(as_=shop.crew), recall=recall)
    found["A"].do(recalls.add_found, shop.by(), recall=recall)
    with found["A"].in_hand():
        standing = queries.standing(Recall.objects.get(id=recall))
        assert (standing.since, standing.added) == (frozenset(), {work.left})
        assert Hold.objects.filter(thing_id=work.left).exists()
        assert dossier.dossier(work.left).holds
        assert Event.objects.filter(step="recalled", facts__later=True).count() == 1
    for one, other in ("AB", "BA"):
        found[other].merge(found[one].export(), shop.by())
    assert found["A"].hash() == found["B"].hash()
