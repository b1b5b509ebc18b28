"""Steps of the build card: who may be recorded as doing which, and what is kept of it."""

import pytest

from inventory.actions import build_steps, builds, press
from inventory.actions import shop as shop_actions
from inventory.compute.build_steps import JOBS, STEPS_MOST, AgeBand, Hazard, Job, check_who, next_job
from inventory.compute.codes import Kind
from inventory.models import Event, Guest, Pair
from inventory.queries import build_card
from inventory.queries import build_steps as lists
from inventory.queries import builds as builds_read
from inventory.roles import Role
from tests.laptops import meet, right
from tests.make import Shop, grams, pieces, refused

# Work that nobody under 18 does: uncured resin or hardener, cyanoacrylate, solvent, sanding dust, router,
# saw, press. Common practice, no source; local law may ask for more.
ADULTS_ONLY = {
    *("blank-glued", "profiled", "base-cut", "edges-fitted", "core-shaped", "sidewalls", "wiped", "mix"),
    *("lay-up", "press", "cool", "open", "trim", "grind"),
}
OWN_PAGE = {
    "mix": "mixed",
    "lay-up": "laid up",
    "press": "pressed",
    "judge": "judged",
    "inspect": "inspected",
    "hand-over": "handed over",
}


def guest_of(shop: Shop, band: str) -> tuple[tuple[object, object, object], object]:
    pair = shop.pair()
    guest = Pair.objects.get(thing_id=pair[0]).guest_id
    shop.do(builds.change_guest, guest=guest, changes={"age_band": band}) if band else None
    return pair, guest


def test_jobs_when_listed_say_which_only_adults_do() -> None:
    """Every hazard occurs in the list, and no step beside these has one."""
    assert {job.key for job in JOBS if job.adults_only} == ADULTS_ONLY
    assert {hazard for job in JOBS for hazard in job.hazards} == set(Hazard)
    assert all(job.caution for job in JOBS if job.adults_only)
    assert {job.key: job.event for job in JOBS if job.event} == OWN_PAGE


def test_finish_when_a_guest_under_18_did_it_is_refused_and_an_adult_is_kept(shop: Shop) -> None:
    """Cutting out and grinding meet saw and dust, in one go or step by step; the crew's own youngest too."""
    (pair, left, right), guest = guest_of(shop, AgeBand.YOUTH)
    blanks = shop.package("blank", pieces(4))
    on = shop.do(press.put_equipment_into_use, kind=Kind.PRESS, name="Press 1").thing
    for ski in (left, right):
        shop.do(press.lay_up, ski=ski, inputs=[(blanks, pieces(1))])
    shop.do(press.record_cycle, press=on, skis=[left, right], mould=None, set_kpa=300, set_c=70, minutes=60)
    card = {"name": "Sunniva Lid", "role": Role.HELPER, "under_18": True}
    shop.do(shop_actions.change_person, person=shop.helper, **card)
    young = {"by": shop.by(as_=shop.helper)}
    with refused("step.under_age", "saw", "sanding dust"):
        shop.do(press.finish, skis=[left, right], doer=guest)
    with refused("step.under_age", "saw"):
        shop.do(press.finish, skis=[left, right], **young)
    with refused("step.under_age", "sanding dust"):
        shop.do(build_steps.record_step, things=[pair], step="grind", **young)
    shop.do(build_steps.record_step, things=[pair], step="wax", by=shop.by(as_=shop.helper))
    shop.do(press.finish, skis=[left, right], doer=shop.crew, by=shop.by(as_=shop.helper))
    assert Event.objects.get(step="finished").facts == {"doer": str(shop.crew), "doer_is": "crew"}


def test_own_step_is_on_the_card_where_it_was_put_and_asks_for_whom_it_says(shop: Shop) -> None:
    """A shop's own step for the crew refuses a guest; made anyone's it is kept."""
    (pair, *_), guest = guest_of(shop, AgeBand.ADULT)
    shop.do(build_steps.add_step, label="Edges noted down", who="the crew only", after="edges-fitted")
    keys = [job.key for job in lists.jobs()]
    own = keys[keys.index("edges-fitted") + 1]
    assert len(keys) == len(JOBS) + 1
    with refused("step.crew_only", "Edges noted down"):
        shop.do(build_steps.record_step, things=[pair], step=own, doer=guest)
    shop.do(build_steps.change_step, step=own, changes={"who": "anyone"})
    shop.do(build_steps.record_step, things=[pair], step=own, doer=guest)
    (card,) = build_card.standing(list(builds_read.pairs()))
    assert card.skis[0].done[own].guest
    assert card.waits is not None
    assert card.waits.key == "core-shaped"


def test_shipped_step_is_made_stricter_and_never_laxer(shop: Shop) -> None:
    """Wax may be kept for the crew; the router not for anyone, and back to adults it may."""
    shop.do(build_steps.change_step, step="wax", changes={"who": "the crew only"})
    shop.do(build_steps.change_step, step="wax", changes={"who": "anyone"})
    with refused("step.loosened", "18 and over only", "anyone"):
        shop.do(build_steps.change_step, step="core-shaped", changes={"who": "anyone"})
    shop.do(build_steps.change_step, step="core-shaped", changes={"who": "the crew only"})
    shop.do(build_steps.change_step, step="core-shaped", changes={"who": "18 and over only"})
    assert next(job for job in lists.jobs() if job.key == "core-shaped").adults_only


def test_step_left_out_is_gone_from_the_card_and_what_the_books_ask_for_stays(shop: Shop) -> None:
    """A shop that buys its cores leaves the gluing out; nobody leaves out the inspection."""
    pair, *_ = shop.pair()
    shop.do(build_steps.change_step, step="blank-glued", changes={"ended": True})
    assert lists.jobs()[0].key == "moisture-read"
    with refused("step.unknown", "blank-glued"):
        shop.do(build_steps.record_step, things=[pair], step="blank-glued")
    with refused("step.needed", "Inspect"):
        shop.do(build_steps.change_step, step="inspect", changes={"ended": True})
    with refused("step.order", "Press"):
        shop.do(build_steps.change_step, step="press", changes={"after": "mix"})
    shop.do(build_steps.change_step, step="dry-fit", changes={"after": "mix"})
    with refused("step.no_label"):
        shop.do(build_steps.change_step, step="wax", changes={"label": "  "})
    shop.do(build_steps.change_step, step="wax", changes={"label": "Wax", "after": ""})
    assert [job.label for job in lists.jobs()][:2] == ["Wax", "Moisture read"]
    with refused("step.unknown"):
        shop.do(build_steps.change_step, step="polish", changes={"label": "Polish"})


def test_list_is_full_when_one_side_is(shop: Shop) -> None:
    """One more than fits is refused, and with one left out it is taken."""
    for number in range(STEPS_MOST - len(JOBS)):
        shop.do(build_steps.add_step, label=f"Own {number}", who="anyone", after="wax")
    with refused("step.too_many"):
        shop.do(build_steps.add_step, label="One more", who="anyone")
    shop.do(build_steps.change_step, step="cool", changes={"ended": True})
    shop.do(build_steps.add_step, label="One more", who="anyone")
    assert len(lists.jobs()) == STEPS_MOST


def test_two_laptops_that_change_the_same_step_settle_on_one(laptops) -> None:
    """Shipped steps have the same card everywhere, so that one list comes of two."""
    found, shop = laptops("AB")
    for letter, who in (("A", "the crew only"), ("B", "18 and over only")):
        found[letter].do(build_steps.change_step, shop.by(), step="measure", changes={"who": who})
    meet(found["A"], found["B"], shop)
    lists_ = []
    for letter in "AB":
        with found[letter].in_hand():
            lists_.append([(job.key, job.who) for job in lists.jobs()])
    assert lists_[0] == lists_[1]
    right(*found.values())


@pytest.mark.parametrize("band", [AgeBand.CHILD, AgeBand.YOUTH])
@pytest.mark.parametrize("job", JOBS, ids=lambda job: job.key)
def test_check_who_when_a_guest_is_under_18_refuses_every_hazard(job: Job, band: str) -> None:
    """A child waxes and measures; an adult may do all that is not the crew's own."""
    if job.crew_only:
        with refused("step.crew_only", job.label):
            check_who(job, AgeBand.ADULT)
        return
    check_who(job, AgeBand.ADULT)
    check_who(job, AgeBand.OLDER)
    if job.adults_only:
        with refused("step.under_age", job.label):
            check_who(job, band)
    else:
        check_who(job, band)


def test_record_step_when_a_child_is_named_at_the_router_is_refused(shop: Shop) -> None:
    """The same step by an adult of the crew is kept; the child's wax is kept too."""
    (pair, *_), guest = guest_of(shop, AgeBand.CHILD)
    with refused("step.under_age", "router"):
        shop.do(build_steps.record_step, things=[pair], step="core-shaped", doer=guest)
    shop.do(build_steps.record_step, things=[pair], step="core-shaped", doer=shop.crew)
    shop.do(build_steps.record_step, things=[pair], step="wax", doer=guest)
    kept = [event.facts for event in Event.objects.filter(step="step done").order_by("number")]
    assert kept == [
        {"job": "core-shaped", "doer": str(shop.crew), "doer_is": "crew"},
        {"job": "wax", "doer": str(guest), "doer_is": "guest"},
    ]


def test_record_step_when_the_guests_age_is_not_known_refuses_hazards_only(shop: Shop) -> None:
    """Unknown is never taken for grown up."""
    (pair, *_), guest = guest_of(shop, "")
    shop.do(build_steps.record_step, things=[pair], step="dry-fit", doer=guest)
    with refused("step.age_unknown"):
        shop.do(build_steps.record_step, things=[pair], step="grind", doer=guest)
    shop.do(builds.change_guest, guest=guest, changes={"age_band": AgeBand.OLDER})
    shop.do(build_steps.record_step, things=[pair], step="grind", doer=guest)


def test_record_step_when_it_holds_a_guests_name_nowhere_in_the_books(shop: Shop) -> None:
    """Events name an id; the name stands on the guest's card."""
    (pair, *_), guest = guest_of(shop, AgeBand.ADULT)
    shop.do(build_steps.record_step, things=[pair], step="trim", doer=guest)
    name = Guest.objects.get(id=guest).name
    assert all(name not in str(event.facts) for event in Event.objects.all())


@pytest.mark.parametrize("step", sorted(OWN_PAGE))
def test_record_step_when_it_has_a_page_of_its_own_is_refused(shop: Shop, step: str) -> None:
    """A tick is no mix and no press cycle."""
    pair, *_ = shop.pair()
    shop.do(build_steps.record_step, things=[pair], step="cool")
    with refused("step.own_page"):
        shop.do(build_steps.record_step, things=[pair], step=step)


def test_record_step_when_it_asks_for_a_reading_needs_one_that_can_be(shop: Shop) -> None:
    """Moisture in percent; kept with its unit."""
    _, left, _ = shop.pair()
    with refused("step.no_reading", "Moisture"):
        shop.do(build_steps.record_step, things=[left], step="moisture-read")
    with refused("step.reading", "400"):
        shop.do(build_steps.record_step, things=[left], step="moisture-read", reading=400.0)
    shop.do(build_steps.record_step, things=[left], step="moisture-read", reading=8.5)
    facts = Event.objects.get(step="step done").facts
    assert (facts["reading"], facts["unit"]) == (8.5, "%")


def test_record_step_when_the_thing_is_no_ski_or_the_step_none_is_refused(shop: Shop) -> None:
    """A pair stands for both its skis."""
    pair, left, right = shop.pair()
    jug = shop.package("resin", grams(100))
    with refused("step.no_ski"):
        shop.do(build_steps.record_step, things=[jug], step="cool")
    with refused("step.no_ski"):
        shop.do(build_steps.record_step, things=[], step="cool")
    with refused("step.unknown", "polish"):
        shop.do(build_steps.record_step, things=[pair], step="polish")
    with refused("step.doer_unknown"):
        shop.do(build_steps.record_step, things=[pair], step="cool", doer=pair)
    done = shop.do(build_steps.record_step, things=[pair, left], step="cool")
    event = Event.objects.get(act=done.token)
    assert [line.thing_id for line in event.lines.order_by("position")] == [left, right]


def test_next_job_when_an_early_step_was_left_out_goes_on_from_the_last() -> None:
    """A bought core was never glued here; that is not waited for."""
    assert next_job(set()).key == "blank-glued"  # type: ignore[union-attr]
    assert next_job({"base-cut", "dry-fit"}).key == "mix"  # type: ignore[union-attr]
    assert next_job({"hand-over"}) is None
