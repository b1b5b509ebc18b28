"""The demo season: the troubles of fixtures/README.md are in it, and findable in the books."""

import json
import re
import shutil
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from pathlib import Path

import pytest
from django.contrib.auth import get_user_model
from django.db.models import Sum
from django.urls import reverse
from django.utils import timezone
from django.utils.html import strip_tags

from inventory.compute import layup
from inventory.compute.artwork import Stage
from inventory.compute.codes import Kind
from inventory.compute.reasons import Level
from inventory.compute.suspects import Band, Delivered, Factor, judge
from inventory.models import (
    Artwork,
    Event,
    Guest,
    Hold,
    LayupCard,
    Lot,
    Note,
    Package,
    Pair,
    Person,
    Place,
    Seat,
    Ski,
    Tag,
    Trailer,
    Workshop,
    Zone,
)
from inventory.queries import (
    ages,
    artwork,
    builds,
    day,
    dossier,
    equipment,
    layups,
    ledger,
    logged,
    readiness,
    trace,
    trips,
)
from inventory.queries.books import differences
from tests.reading import Client
from tests.seasons import books, made, manage

pytestmark = pytest.mark.own_books


@pytest.fixture(scope="session")
def season(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return made(tmp_path_factory)


@pytest.fixture
def opened(season: Path, django_db_blocker: object) -> Iterator[None]:
    with books(season, django_db_blocker):
        yield


@pytest.fixture
def today(season: Path) -> date:
    from shop.folder import read_mark

    return date.fromisoformat(read_mark(season).made)


def packages(number: str) -> list[Package]:
    return list(Package.objects.filter(lot__number=number).order_by("thing_id"))


def code(thing: object) -> str:
    return Tag.objects.get(thing_id=thing).code


def left(key: str, *, on: date | None = None) -> int:
    rows = Package.objects.filter(lot__material__key=key)
    if on is not None:
        rows = rows.filter(expires_on__gte=on)
    return rows.aggregate(left=Sum("thing__balance__amount"))["left"]


def test_season_has_its_workshops_and_pairs_and_its_books_are_right(opened, today):
    """15 workshops with 80 pairs this winter, two winters before it, and every derived row is the fold."""
    this = Workshop.objects.filter(starts_on__gt=today - timedelta(days=100))
    assert this.count() == 15
    assert Pair.objects.filter(workshop__in=this).count() == 80
    assert Pair.objects.count() == 125
    assert list(differences()) == []
    assert not ledger.open_disagreements().exists()
    assert not Event.objects.filter(at__date__gte=today).exists()


def test_next_trip_lacks_a_sheet_a_mould_and_edge_and_a_jug_passes_its_date(opened, today):
    """Trouble 1: what can be seen of it in the books."""
    trip = Workshop.objects.filter(starts_on__gte=today).order_by("starts_on").first()
    assert trip.starts_on == today + timedelta(days=3)
    pairs = Pair.objects.filter(workshop=trip)
    assert len(packages("P-1016")) == pairs.count() - 1 == 4
    (jug,) = packages("TH-2550")
    assert jug.expires_on == trip.starts_on - timedelta(days=1)
    (edge,) = [
        note for note in readiness.answer(trips.next_trip(today), today).reasons if note.about == ("edge",)
    ]
    lacks = edge.sentence.values["lacks"]
    # one pair's, of seven: two sides of two skis, and what is lost
    assert 5_000 < lacks.amount.value - lacks.less.value < 9_000
    mould = dossier.dossier(Tag.objects.get(thing__equipment__name="172 mould").thing_id)
    assert mould.place_in_words.startswith("the Loft")


def test_next_trips_top_sheets_are_checked_but_for_one_that_is_at_the_printer(opened, today):
    """Trouble 1: the trip's own page names the pair whose sheet is not back, and says since when."""
    trip = trips.next_trip(today)
    rows = Artwork.objects.filter(pair__workshop__starts_on=trip.leaves_on)
    assert (Artwork.objects.count(), rows.count(), rows.exclude(checked_on=None).count()) == (5, 5, 4)
    late = rows.get(here_on=None)
    sheets = [note for note in readiness.answer(trip, today).reasons if "top sheet" in str(note.sentence)]
    assert [(dossier.thing_of(*note.about), note.level) for note in sheets] == [(late.pair_id, Level.STOP)]
    assert sheets[0].sentence.values["day"] == late.at_printer_on
    due = artwork.pressing([late.pair], today)[late.pair_id]
    assert (due.stage, due.by) == (Stage.HERE, today)


def test_next_trip_has_one_open_seat_and_the_one_after_it_two_guests_who_wait(opened, today):
    """The wait list stands on the workshop's page, and nobody of it takes a seat."""
    near, full = builds.with_seats().filter(starts_on__gte=today).order_by("starts_on")[:2]
    assert (near.capacity - near.taken, full.capacity - full.taken) == (1, 0)
    waiting = [seat for seat in builds.seats(full.id) if seat.state == "wait list"]
    assert len(waiting) == Seat.objects.filter(state="wait list").count() == 2
    assert not Pair.objects.filter(guest__in=[seat.guest_id for seat in waiting]).exists()


def test_this_winters_pairs_are_by_one_layup_card_and_each_has_its_widths(opened, today):
    """The needs of each are computed, of every material of the card; no older pair is by it."""
    (card,) = LayupCard.objects.all()
    this = Pair.objects.filter(workshop__starts_on__gt=today - timedelta(days=100))
    assert set(Pair.objects.filter(layup=card)) == set(this)
    stuff = layups.known(card.layers)
    for pair in this:
        shaped = builds.shaped(pair)
        assert shaped.verdict.level is Level.FINE
        found = layup.needed(outline=shaped.outline, rows=card.layers, known=stuff)
        assert {need.material for need in found.materials} == {row["material"] for row in card.layers} | {
            "hardener"
        }


def test_summer_resin_is_in_date_by_its_label_and_lay_in_the_trailer(opened, today):
    """Trouble 2."""
    (can,) = packages("TR-6381")
    told = dossier.dossier(can.thing_id)
    assert told.label.expires_on > today
    assert told.place_in_words.startswith("zone 2, Ptarmigan")
    moved = next(event for event in told.events if event.step == "moved")
    assert moved.at.date() < today - timedelta(days=300)


def test_summer_resin_alone_is_past_its_time_by_the_warmth_it_stood_in(opened, today):
    """Trouble 2: logged at up to 38 °C all summer; no other resin on the shelf is old before its date."""
    midnight = timezone.make_aware(datetime.combine(today, time()))
    resin = Package.objects.filter(lot__material__key="resin", thing__balance__amount__gt=0)
    ages_by_number = [(row.lot.number, ages.age_of(row.thing_id, midnight)) for row in resin]
    old = [(number, age) for number, age in ages_by_number if age.forecast < today]
    ((number, age),) = old
    assert (number, len(ages_by_number) > 1) == ("TR-6381", True)
    assert age.good_through > today
    assert "ageing.used_up" in {reason.code for reason in age.verdict.reasons}
    (ptarmigan,) = Place.objects.filter(name="Ptarmigan")
    summer = logged.hours_of([ptarmigan.thing_id])[ptarmigan.thing_id]
    assert summer[-1].hour - summer[0].hour >= 90 * 24
    assert max(hour.highest for hour in summer) == 3800


def test_ptarmigan_has_its_plates_and_each_of_its_zones_a_distance_on_the_floor(opened):
    """What the load is reckoned with: no number is missing, and every zone lies on the trailer's floor."""
    trailer = Trailer.objects.get(thing__place_card__name="Ptarmigan")
    empty = [field.name for field in Trailer._meta.concrete_fields if getattr(trailer, field.attname) is None]
    assert empty == []
    zones = Zone.objects.all()
    assert {zone.thing.place_card.name for zone in zones} == {"zone 1", "zone 2", "zone 3", "zone 4"}
    for zone in zones:
        assert trailer.floor_from_mm <= zone.behind_mm - zone.behind_doubt_mm
        assert zone.behind_mm + zone.behind_doubt_mm <= trailer.floor_to_mm


def test_one_extinguisher_is_due_soon_and_hose_and_the_other_are_not(opened, today):
    """The first page says so; none is overdue."""
    (note,) = [note for note in day.notes(today) if note.page == "equipment-card"]
    piece = equipment.equipment(dossier.thing_of(note.about[0]))
    assert (piece.name, note.level) == ("Extinguisher, Stoat", Level.LOOK)
    assert len(equipment.inspections()) == 5
    assert not any(due.overdue(today) for due in equipment.inspections())


def test_edge_glue_covers_the_season_on_paper_and_not_by_its_dates(opened, today):
    """Trouble 3: 2 g a ski; enough of it in all, too little of what is still in date when it is used."""
    to_come = Pair.objects.filter(workshop__starts_on__gte=today)
    late = to_come.filter(workshop__starts_on__gt=today + timedelta(days=15)).count()
    held = sum(ledger.states([p.thing_id])[p.thing_id].amount for p in packages("EG-1502"))
    assert left("edge-glue") - held >= to_come.count() * 4_000
    assert left("edge-glue", on=today + timedelta(days=16)) - held < late * 4_000


def test_five_pairs_share_one_jug_and_one_press_day_and_no_other_does(opened):
    """Trouble 4: forward from the jug to exactly the ten skis of one workshop, pressed on one day."""
    jug, *_poured = packages("TH-2466")
    things = ledger.kinds(trace.forward([jug.thing_id]).things)
    skis = [thing for thing, (kind, _) in things.items() if kind is Kind.SKI]
    pairs = set(Ski.objects.filter(thing_id__in=skis).values_list("pair_id", flat=True))
    (workshop,) = Workshop.objects.filter(pairs__thing_id__in=pairs).distinct()
    assert len(skis) == 10
    assert pairs == set(Pair.objects.filter(workshop=workshop).values_list("thing_id", flat=True))
    days = set(
        Event.objects.filter(step="pressed", lines__thing_id__in=skis).values_list("at__date", flat=True)
    )
    assert days == {workshop.starts_on}
    hardeners = Package.objects.filter(thing_id__in=trace.back(skis).things, lot__material__key="hardener")
    assert [row.thing_id for row in hardeners] == [jug.thing_id]


def test_the_jug_of_five_returned_pairs_is_suspected_and_no_other_package_is(opened):
    """Trouble 4: the numbers are enough for the rules of suspects, also after their adjustment.

    Sheets' lot, jug and day cannot be told apart; of the other lines at most one asks for a look.
    """
    skis = (
        Ski.objects.filter(thing__lines__event__step="handed over")
        .select_related("pair__workshop")
        .distinct()
    )
    delivered, factors = [], {}
    for ski in skis:
        own = str(ski.thing_id)
        winter = ski.pair.workshop.starts_on - timedelta(days=180)
        delivered.append(Delivered(own, str(ski.pair_id), str(winter.year)))
        for thing in trace.back([ski.thing_id]).things:
            factors.setdefault(str(thing), set()).add(own)
        factors.setdefault(str(ski.pair.workshop.starts_on), set()).add(own)
    jug, *_poured = packages("TH-2466")
    back = {str(s.thing_id) for s in skis if s.side == "left"} & factors[str(jug.thing_id)]
    found = judge(
        failure="tip delaminated",
        delivered=delivered,
        returned=back,
        factors=[Factor(code_, "shared", own) for code_, own in factors.items()],
    )
    first, *others = found.lines
    named = {first.factor.code, *(factor.code for factor in first.also)}
    assert (first.band, first.exposed, first.returned_exposed) == (Band.UNLIKELY, 5, 5)
    assert str(jug.thing_id) in named
    assert Band.UNLIKELY not in {line.band for line in others}
    assert len([line for line in others if line.band is Band.LOOK]) <= 1


def test_last_workshop_has_a_cold_cycle_and_one_nobody_judged(opened, today):
    """Trouble 5: both pairs were pressed and not handed over; the other three were."""
    last = Workshop.objects.filter(starts_on__lt=today).order_by("-starts_on").first()
    told = [dossier.dossier(pair.thing_id) for pair in Pair.objects.filter(workshop=last)]
    waiting = [row for row in told if row.handed_over_at is None]
    assert len(told) - len(waiting) == 3
    verdicts = [[e.facts["passed"] for e in row.exposures if e.step == "judged"] for row in waiting]
    assert sorted(verdicts) == [[], [False, False]]


def test_a_can_was_counted_140_g_under_the_books(opened, today):
    """Trouble 6: the fold of the events before the count less the count."""
    counted = Event.objects.filter(step="counted").order_by("sort").last()
    line = counted.lines.get()
    before = ledger.events_of([line.thing_id])[line.thing_id]
    amounts = [
        (event, own) for event in before for own in event.lines if event.step != "counted" and own.amount
    ]
    was = sum(own.amount if own.role == "output" else -own.amount for _, own in amounts)
    assert was - line.amount == 140_000
    assert counted.at.date() == today - timedelta(days=1)


def test_a_lot_is_on_hold_with_its_reason(opened):
    """Trouble 6: both its bottles are stopped by it."""
    lot = Lot.objects.get(number="EG-1502")
    (hold,) = Hold.objects.exclude(thing__kind=Kind.SKI)
    assert hold.thing_id == lot.thing_id
    bottles = [row.thing_id for row in packages("EG-1502")]
    assert set(trace.stopped_by(bottles)) == set(bottles)
    assert "set in the cap" in Note.objects.get(id=hold.event.note).text


def test_blanks_moved_in_error_lie_where_they_lay(opened):
    """Trouble 6: undone, and both stay readable."""
    told = [dossier.dossier(row.thing_id) for row in packages("K-152")]
    (undone,) = [event for row in told for event in row.events if event.step == "moved"]
    assert undone.undone.why == "Wrong trailer."
    assert {row.place[0].name for row in told} == {"core crate"}


def test_what_the_season_holds_stands_on_its_screens(season, today, tmp_path, django_db_blocker):
    """As the owner reads it, in a copy of the folder: each page says its part of the story."""
    copy = tmp_path / "copy"
    shutil.copytree(season, copy, ignore=shutil.ignore_patterns("serving.*"))
    with books(copy, django_db_blocker):
        client = Client()
        client.force_login(
            get_user_model().objects.get(username="ragna"), "django.contrib.auth.backends.ModelBackend"
        )
        can = code(packages("TR-6381")[0].thing_id)
        ptarmigan = code(Place.objects.get(name="Ptarmigan").thing_id)
        late = code(Artwork.objects.get(here_on=None).pair_id)
        near, full = builds.workshops().filter(starts_on__gte=today).order_by("starts_on")[:2]
        (card,) = LayupCard.objects.all()
        for address, words in (
            (reverse("day"), "Extinguisher, Stoat"),
            (reverse("equipment"), "Hose and couplings"),
            (reverse("thing", args=[can]), "its time was over"),
            (reverse("care-age", args=[can]), "its time was over"),
            (reverse("places-inside", args=[ptarmigan]), "1500 kg"),
            (reverse("care-read", args=[ptarmigan]), "highest 38 °C"),
            (reverse("loggers-curve", args=[ptarmigan]), "highest 38 °C"),
            (reverse("trips-trip", args=[trips.next_trip(today).id]), "has been at the printer since"),
            (reverse("artwork-path", args=[late]), "at the printer"),
            (reverse("builds-workshop", args=[near.id]), "1 seat is open"),
            (reverse("builds-workshop", args=[full.id]), "2 guests wait"),
            (reverse("builds-workshop", args=[full.id]), "Torgunn Havelle"),
            (reverse("layups-card", args=[card.id]), "Glass weave"),
            (reverse("builds-spec", args=[late]), card.name),
            (reverse("builds-spec", args=[late]), "What the pair needs"),
        ):
            page = client.get(address)
            assert page.status_code == 200, address
            assert words in " ".join(strip_tags(page.content.decode()).split()), address


def test_bundle_of_the_second_laptop_doubles_nothing_and_leaves_one_disagreement(
    season, tmp_path, django_db_blocker
):
    """Trouble 7, in a copy of the folder: the copy says that it is one, and the draw explains the count."""
    copy = tmp_path / "copy"
    shutil.copytree(season, copy, ignore=shutil.ignore_patterns("serving.*"))
    ran = manage(copy, "merge", copy / "second-laptop.bundle")
    assert ran.returncode == 0, ran.stderr
    assert "This data folder was copied" in ran.stdout
    assert "Events that came in: 2" in ran.stdout
    assert "people to settle them: 1." in ran.stdout
    with books(copy, django_db_blocker):
        row = ledger.open_disagreements().get()
        assert (row.trouble, row.amount) == ("count apart", 140_000)
        opened = Event.objects.filter(step="opened", lines__thing__package__lot__number="TR-6641")
        assert len({event.machine for event in opened}) == 2
        assert opened.values("lines__thing").distinct().count() == 1
        assert list(differences()) == []
    again = manage(copy, "merge", copy / "second-laptop.bundle")
    assert "Events that came in: 0; changes of cards: 0." in again.stdout


def test_trace_of_the_jug_names_the_five_pairs(season, django_db_blocker):
    """The command on the demo's folder, as a script would ask it."""
    with books(season, django_db_blocker):
        jug = code(packages("TH-2466")[0].thing_id)
    ran = manage(season, "trace", jug, "--json")
    assert ran.returncode == 0
    assert len({link["pair"]["code"] for link in json.loads(ran.stdout)["went_into"] if link["pair"]}) == 5


def test_no_open_page_of_the_season_names_anybody(opened, client):
    """What a stranger reads of each ski and pair, and every open page: no word of any name, no contact."""
    people = [*Person.objects.values_list("name", flat=True), *Guest.objects.values_list("name", flat=True)]
    contacts = [text for text in Guest.objects.values_list("contact", flat=True) if text]
    words = {word for name in people for word in name.split() if len(word) > 3}
    words -= {"Quill"}  # part of the made shop's own name
    codes = Tag.objects.filter(thing__kind__in=("ski", "pair")).values_list("code", flat=True)
    pages = [
        reverse("help"),
        *(f"/OBJ/{code}" for code in codes),
    ]  # the demo's sign-in page offers its people
    pages += [reverse(name, args=[codes[0]]) for name in ("public-record", "public-pass-on")]
    found = set()
    for page in pages:
        answer = client.get(page, headers={"host": "localhost"})
        text = set(re.findall(r"\w+", strip_tags(answer.content.decode())))
        found |= {(page, word) for word in words & text}
        found |= {(page, contact) for contact in contacts if contact in answer.content.decode()}
    assert len(words) > 40
    assert len(codes) > 200
    assert found == set()
