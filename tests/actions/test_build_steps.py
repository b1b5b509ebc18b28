"""Steps of the build card: who may be recorded as doing which, and what is kept of it."""

import pytest

from inventory.actions import build_steps, builds
from inventory.compute.build_steps import JOBS, AgeBand, Hazard, Job, check_who, next_job
from inventory.models import Event, Guest, Pair
from tests.make import Shop, grams, refused

# Work that nobody under 18 does: uncured resin or hardener, cyanoacrylate, solvent, sanding dust, router,
# saw, press. Common practice, no source; local law may ask for more.
ADULTS_ONLY = {
    *("blank-glued", "profiled", "base-cut", "edges-fitted", "core-shaped", "sidewalls", "wiped", "mix"),
    *("lay-up", "press", "cool", "open", "trim", "grind"),
}
OWN_PAGE = {"mix": "mixed", "lay-up": "laid up", "press": "pressed", "hand-over": "handed over"}


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


@pytest.mark.parametrize("band", [AgeBand.CHILD, AgeBand.YOUTH])
@pytest.mark.parametrize("job", JOBS, ids=lambda job: job.key)
def test_check_who_when_a_guest_is_under_18_refuses_every_hazard(job: Job, band: str) -> None:
    """A child waxes and measures; an adult may do all of it."""
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
