"""Pages of the shop's list of steps, and the build card that follows it."""

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.actions import build_steps, finishing, people, press
from inventory.compute.build_steps import JOBS
from inventory.compute.codes import Kind
from inventory.queries import build_card, builds, things
from inventory.queries import build_steps as lists
from tests.make import Shop, grams, pieces
from tests.reading import Client

pytestmark = pytest.mark.django_db


@pytest.fixture
def sign_in(shop: Shop):
    """`sign_in("crew")`: a client with that person signed in."""

    def as_(role: str) -> Client:
        people.give_way_in(person=getattr(shop, role), username=role, password="a-long-one-for-tests")
        client = Client()
        client.force_login(User.objects.get(username=role), "django.contrib.auth.backends.ModelBackend")
        return client

    return as_


def test_step_added_and_changed_through_pages_is_on_the_card_at_its_place(shop: Shop, sign_in) -> None:
    """Added after the edges, renamed, kept for adults, left out again."""
    crew = sign_in("crew")
    sent = {"label": "Edges tuned", "who": "anyone", "after": "edges-fitted"}
    assert crew.post("/build-steps/add/", sent).status_code == 302
    own = lists.jobs()[[job.key for job in lists.jobs()].index("edges-fitted") + 1].key
    code = things.codes_of([shop.pair()[0]])[0]
    card = crew.get(f"/builds/{code}/card/").content.decode()
    assert f'href="/builds/{code}/step/{own}/"' in card
    assert card.index("Edges fitted") < card.index("Edges tuned") < card.index("Core shaped")
    sent |= {"label": "Edges, tuned", "who": "18 and over only", "after": "wax"}
    assert crew.post(f"/build-steps/{own}/change/", sent).status_code == 302
    seen = crew.get("/build-steps/").content.decode()
    assert seen.index("Wax, cold") < seen.index("Edges, tuned") < seen.index("Measure")
    assert crew.post(f"/build-steps/{own}/change/", sent | {"ended": "on"}).status_code == 302
    assert [job.key for job in lists.jobs()] == [job.key for job in JOBS]
    assert "Left out" in crew.get("/build-steps/").content.decode()


@pytest.mark.parametrize(
    ("step", "wrong", "status", "sentence"),
    [
        ("core-shaped", {"who": "anyone"}, 409, "is for 18 and over only, and not for anyone"),
        ("mix", {"ended": "on"}, 409, "cannot be left out"),
        ("press", {"after": "mix"}, 409, "would come before"),
        ("wax", {"label": ""}, 422, "This is needed"),
        ("wax", {"label": "x" * 61}, 422, "At most 60 letters"),
        ("wax", {"who": "everybody"}, 422, "is not one of the choices"),
        ("wax", {"after": "polish"}, 422, "is not one of the choices"),
    ],
)
def test_step_changed_to_what_cannot_be_says_why_and_keeps_what_was_typed(
    shop: Shop, sign_in, step: str, wrong: dict[str, str], status: int, sentence: str
) -> None:
    """The list is as it was, and the page still has what was entered."""
    before, kept = lists.jobs(), lists.one(step)
    keys = [job.key for job in before]
    asked = {"label": kept.label, "who": kept.who, "after": keys[keys.index(step) - 1]}
    crew = sign_in("crew")
    answer = crew.post(f"/build-steps/{step}/change/", asked | wrong)
    assert answer.status_code == status
    assert sentence in answer.content.decode()
    assert lists.jobs() == before
    assert crew.post(f"/build-steps/{step}/change/", asked).status_code == 302


def test_card_leads_each_role_to_what_it_may_record(shop: Shop, sign_in) -> None:
    """The skis are filled in; a helper mixes and lays up, and judging is not offered."""
    pair, left, right = shop.pair()
    code, one, other = things.codes_of([pair, left, right])
    pages = {role: sign_in(role).get(f"/builds/{code}/card/").content.decode() for role in ("helper", "crew")}
    for page in pages.values():
        assert f"/press/mix/?skis={one}%0A{other}" in page
        assert f"/laying/{one}/layers/" in page
        assert "/press/judge/" not in page  # nothing was pressed
    assert "/press/hand-over/" not in pages["helper"]
    assert f"/press/hand-over/?pair={code}" in pages["crew"]
    machine = shop.do(press.put_equipment_into_use, kind=Kind.PRESS, name="Press 1").thing
    blanks = shop.package("blank", pieces(2))
    for ski in (left, right):
        shop.do(press.lay_up, ski=ski, inputs=[(blanks, pieces(1))])
    run = {"mould": None, "set_kpa": 300, "set_c": 70, "minutes": 60}
    cycle = shop.do(press.record_cycle, press=machine, skis=[left, right], **run).thing
    for role, leads in (("helper", False), ("crew", True)):
        page = sign_in(role).get(f"/builds/{code}/card/").content.decode()
        assert (f"/press/judge/?cycle={things.codes_of([cycle])[0]}" in page) is leads


def test_card_ticks_the_mix_from_the_cup_whether_laid_up_or_only_meant(shop: Shop, sign_in) -> None:
    """A cup mixed for the left ski ticks it for the left; the one that went into the right for the right."""
    _, left, right = shop.pair()
    resin, hardener = shop.package("resin"), shop.package("hardener")
    weighed = {"resin_mg": 300_000, "hardener_mg": 90_000, "hardener_per_hundred": 30.0}

    def mixed() -> dict[str, str]:
        (card,) = build_card.standing(list(builds.pairs()))
        return {ski.side: ski.done["mix"].who for ski in card.skis if "mix" in ski.done}

    cup = shop.do(
        press.record_mix, resin=resin, hardener=hardener, skis=[left], doer=shop.crew, **weighed
    ).thing
    assert mixed() == {"left": "Odd Fether"}
    other = shop.mix(resin, hardener)
    assert mixed() == {"left": "Odd Fether"}
    shop.do(press.lay_up, ski=right, inputs=[(other, grams(200))])
    assert mixed() == {"left": "Odd Fether", "right": "Ragna Quill"}
    shop.do(press.lay_up, ski=left, inputs=[(cup, grams(200))])
    assert mixed() == {"left": "Odd Fether", "right": "Ragna Quill"}


def test_card_after_a_verdict_that_failed_asks_for_a_decision_and_after_one_that_passed_goes_on(
    shop: Shop, sign_in
) -> None:
    """Pressed and judged: trimming is next. Judged not to pass: press again or reject; nothing is next."""
    pair, left, right = shop.pair()
    code, one, other = things.codes_of([pair, left, right])
    machine = shop.do(press.put_equipment_into_use, kind=Kind.PRESS, name="Press 1").thing
    blanks = shop.package("blank", pieces(2))
    for ski in (left, right):
        shop.do(press.lay_up, ski=ski, inputs=[(blanks, pieces(1))])
    run = {"mould": None, "set_kpa": 300, "set_c": 70, "minutes": 60}

    def cycle(passed: bool) -> None:
        made = shop.do(press.record_cycle, press=machine, skis=[left, right], **run).thing
        shop.do(press.judge, cycle=made, passed=passed, why="the coldest probe")

    def card(role: str) -> str:
        return sign_in(role).get(f"/builds/{code}/card/").content.decode()

    cycle(True)
    assert ">Next: Trim<" in card("crew")
    assert "A person decides" not in card("crew")
    cycle(False)
    page, helpers = card("crew"), card("helper")
    assert "The press cycle did not pass. A person decides: press again" in page
    assert "Next:" not in page
    again = f"/pressing/close/?skis={one}%0A{other}"
    assert page.count(again) == 2  # at the top, and at its step
    assert again in helpers
    assert page.count(f"/finishing/{one}/inspect/") == 2
    assert "/finishing/" not in helpers.replace(f"/finishing/{one}/measure/", "")
    assert "a person decides" in sign_in("crew").get("/bench/?file=csv").content.decode()
    cycle(True)
    assert ">Next: Trim<" in card("crew")


def test_card_after_an_inspection_leads_to_the_ski_that_did_not_pass_and_of_a_rejected_one_nowhere(
    shop: Shop, sign_in
) -> None:
    """Worked over it can be inspected again; rejected it goes no further."""
    pair, left, right = shop.pair()
    code, one, other = things.codes_of([pair, left, right])
    shop.do(finishing.inspect_ski, ski=left, outcome="pass", why="straight")
    page = sign_in("crew").get(f"/builds/{code}/card/").content.decode()
    assert f"/finishing/{other}/inspect/" in page
    shop.do(finishing.inspect_ski, ski=right, outcome="rework", why="the edge is proud")
    page = sign_in("crew").get(f"/builds/{code}/card/").content.decode()
    assert "work the ski over and inspect it again" in page
    assert page.count(f"/finishing/{other}/inspect/") == 2
    assert f"/finishing/{one}/inspect/" not in page
    shop.do(finishing.inspect_ski, ski=right, outcome="reject", why="it is cracked")
    page = sign_in("crew").get(f"/builds/{code}/card/").content.decode()
    assert "A ski was rejected" in page
    assert page.count(f"/finishing/{other}/inspect/") == 1


def test_list_asks_as_often_for_ten_own_steps_as_for_one(shop: Shop, sign_in) -> None:
    """One statement for the list, however long it is."""
    crew = sign_in("crew")

    def asked() -> int:
        with CaptureQueriesContext(connection) as caught:
            assert crew.get("/build-steps/").status_code == 200
        return len(caught)

    counts = []
    for more in (1, 6):
        for number in range(more):
            shop.do(build_steps.add_step, label=f"Own {more} {number}", who="anyone", after="wax")
        asked()
        counts.append(asked())
    assert counts[0] == counts[1]
