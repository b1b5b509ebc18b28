"""The first run: every page leads to it until the shop is set up, one thing at a time, each kept at once."""

import re

import pytest
from django.test import Client

from inventory.actions import people
from inventory.compute.codes import Kind
from inventory.models import Machine, Material, Person, Shop, SignIn, Tag
from inventory.queries import machine
from tests import make

pytestmark = pytest.mark.django_db

PAGE = "/shop/first-run/"
STARTER = "/catalogue/?next=/"
ANSWERS = {
    "letter": {"letter": "K", "name": "the one in the yard"},
    "shop": {
        "name": "Quillfeather",
        "currency": "nok",
        "units": "us",
        "language": "en",
        "time_zone": "America/Denver",
        "reach": "a@qfb.example",
    },
    "host": {"host": "qfb.example"},
    "owner": {
        "name": "Ragna Quill",
        "sign_in": "ragna",
        "password": "feather and quill",
        "again": "feather and quill",
    },
}


@pytest.fixture
def client() -> Client:
    """A browser on the laptop itself."""
    return Client(HTTP_HOST="localhost:8000")


def answer(client: Client, step: str, **other: str):
    return client.post(PAGE, {"step": step, **ANSWERS[step], **other})


def test_every_page_leads_to_the_first_run_and_help_does_not(client):
    """A new shop has nothing to see but its setting up, and help."""
    for page in ("/", "/stock/", "/bench/", "/people/sign-in/", "/scan/?code=x"):
        found = client.get(page)
        assert (found.status_code, found["Location"]) == (302, PAGE), page
    assert client.get("/help/").status_code == 200
    assert client.get(PAGE).status_code == 200


def test_four_answers_set_the_shop_up_and_sign_the_owner_in(client):
    """Letter, shop, host, owner; afterwards the page leads on, and the first page opens."""
    labels = []
    for step in ANSWERS:
        page = client.get(PAGE).content.decode()
        assert f'name="step" value="{step}"' in page
        labels += re.findall(r'<label for="id_sign_in">(.*?)</label>', page)
        found = answer(client, step)
        assert (found.status_code, found["Location"]) == (302, STARTER if step == "owner" else PAGE), step
    card, here = Shop.objects.get(), Machine.objects.get()
    assert (card.name, card.currency, card.units, card.host) == ("Quillfeather", "NOK", "us", "QFB.EXAMPLE")
    assert (here.letter, here.name, here.fingerprint) == ("K", "the one in the yard", machine.fingerprint())
    assert Person.objects.get().role == "owner"
    assert client.get("/").status_code == 200
    assert client.get(PAGE)["Location"] == "/"
    client.logout()
    asked = client.get("/people/sign-in/").content.decode()
    assert re.findall(r'<label for="id_username">(.*?)</label>', asked) == labels != []  # one word for it


def test_starter_list_is_offered_last_and_leads_on_to_the_first_page_taken_or_not(client):
    """One tap takes it; left alone, the day sheet still offers it."""
    for step in ANSWERS:
        answer(client, step)
    page = client.get(STARTER).content.decode()
    assert "Not now" in page
    assert 'action="/catalogue/?next=/"' in page
    assert 'href="/catalogue/"' in client.get("/").content.decode()
    assert client.post(STARTER, {"every": "materials"})["Location"] == "/"
    assert Material.objects.filter(key="epoxy-resin").exists()
    assert 'href="/catalogue/"' not in client.get("/").content.decode()


def test_each_step_is_read_back_and_the_password_is_not(client):
    """What the next page says of the steps before it; at the end, who signs in as what."""
    for step, told in (
        ("letter", ("K", "the one in the yard")),
        ("shop", ("Quillfeather", "NOK", "US units", "English", "America/Denver", "a@qfb.example")),
        ("host", ("QFB.EXAMPLE",)),
    ):
        answer(client, step)
        lines = re.findall(r'<span class="faint" dir="auto">(.*?)</span>', client.get(PAGE).content.decode())
        assert tuple(lines[-1].split(" · ")) == told
    answer(client, "owner")
    page = client.get(STARTER).content.decode()
    assert "The shop is set up. Ragna Quill signs in as ragna." in page
    assert "feather and quill" not in page


def test_host_that_was_put_off_is_not_read_back_as_kept(client):
    """Three lines, of which the third is not done."""
    answer(client, "letter")
    answer(client, "shop")
    page = client.get(f"{PAGE}?step=owner").content.decode()
    assert page.count(": kept") == 2


def test_time_zone_proposed_is_the_computers_own(client, settings):
    """TZ as a shell would set it; what is no zone is not proposed."""
    answer(client, "letter")
    for asked, proposed in (("America/Denver", "America/Denver"), (":Asia/Dubai", "Asia/Dubai")):
        settings.COMPUTER_TIME_ZONE = asked
        assert f'value="{proposed}" selected' in client.get(PAGE).content.decode()


def test_time_zone_of_the_environment_is_said_to_win(client, settings):
    """Set for this laptop, it counts whatever is chosen; unset, nothing of it is said."""
    answer(client, "letter")
    assert "SHOP_TIME_ZONE" not in client.get(PAGE).content.decode()
    settings.SHOP_TIME_ZONE = "Pacific/Apia"
    assert "SHOP_TIME_ZONE is set, and Pacific/Apia counts" in client.get(PAGE).content.decode()


def test_left_after_a_step_it_goes_on_there_from_any_browser(client):
    """What was answered is kept in the books, not in the browser."""
    answer(client, "letter")
    answer(client, "shop")
    assert 'value="host"' in Client(HTTP_HOST="127.0.0.1:8000").get(PAGE).content.decode()


@pytest.mark.parametrize("typed", ["https://qfb.example/", "HTTP://qfb.example", " https://qfb.example// "])
def test_host_as_it_is_copied_off_an_address_line_is_cut_to_the_name(client, typed):
    """What a tag's address has around it; its 14 signs are counted without."""
    answer(client, "letter")
    answer(client, "shop")
    assert answer(client, "host", host="https://quillfeather.ex/").status_code == 422
    assert answer(client, "host", host=typed).status_code == 302
    assert Shop.objects.get().host == "QFB.EXAMPLE"


def test_host_name_can_be_put_off_and_the_day_sheet_reminds(client):
    """The owner comes next; once signed in, the first page asks for the name and leads to it."""
    for step in ("letter", "shop"):
        answer(client, step)
    assert "?step=owner" in client.get(PAGE).content.decode()
    assert 'value="owner"' in client.get(f"{PAGE}?step=owner").content.decode()
    assert answer(client, "owner")["Location"] == STARTER
    assert Shop.objects.get().host == ""
    assert 'href="/shop/host/"' in client.get("/").content.decode()
    back = "/tags/choose/?codes=PA6SCMRJ"
    assert client.post(f"/shop/host/?next={back}", ANSWERS["host"])["Location"] == back
    assert 'href="/shop/host/"' not in client.get("/").content.decode()


def test_owner_cannot_be_asked_before_the_shop_is(client):
    """Only the host name can be put off."""
    answer(client, "letter")
    assert 'value="shop"' in client.get(f"{PAGE}?step=owner").content.decode()


def test_shop_and_host_may_be_taken_up_again_until_it_is_over(client):
    """A slip in the name is put right by the same page; the letter stays."""
    for step in ("letter", "shop", "host"):
        answer(client, step)
    page = client.get(f"{PAGE}?step=shop").content.decode()
    assert 'value="Quillfeather"' in page
    answer(client, "shop", name="Quillfeather Ski Bench")
    assert Shop.objects.get().name == "Quillfeather Ski Bench"
    assert 'value="owner"' in client.get(f"{PAGE}?step=letter").content.decode()


def test_step_that_is_not_due_yet_is_not_asked(client):
    """Sending the owner's answers first makes nobody an owner."""
    found = answer(client, "owner")
    assert found.status_code == 422
    assert not Person.objects.exists()


@pytest.mark.parametrize(
    ("step", "wrong"),
    [
        ("letter", {"letter": "I"}),
        ("letter", {"letter": ""}),
        ("shop", {"name": " "}),
        ("shop", {"currency": "kr"}),
        ("shop", {"units": "stones"}),
        ("shop", {"time_zone": "Mars/Olympus"}),
        ("shop", {"time_zone": ""}),
        ("host", {"host": "QUILLFEATHER.EX"}),
        ("host", {"host": "QF"}),
        ("host", {"host": "Q F.EXAMPLE"}),
        ("owner", {"name": ""}),
        ("owner", {"password": "short", "again": "short"}),
        ("owner", {"password": "1234567890", "again": "1234567890"}),
        ("owner", {"again": "feather and quil"}),
        ("owner", {"sign_in": ""}),
    ],
)
def test_wrong_answer_is_said_and_kept_nowhere_and_the_right_one_goes_on(client, step, wrong):
    """The page stays, says what is wrong, and the right answer is taken afterwards."""
    for before in list(ANSWERS)[: list(ANSWERS).index(step)]:
        answer(client, before)
    found = answer(client, step, **wrong)
    assert found.status_code in {409, 422}
    assert 'class="wrong"' in found.content.decode() or 'class="refusal"' in found.content.decode()
    assert f'value="{step}"' in client.get(PAGE).content.decode()
    assert answer(client, step).status_code == 302


def test_asked_from_another_machine_it_says_where_to_go(client):
    """Whoever sets the shop up is its owner: a phone in the same network is not let in."""
    found = client.post(PAGE, {"step": "letter", **ANSWERS["letter"]}, REMOTE_ADDR="192.0.2.7")
    assert found.status_code == 403
    assert "on the laptop itself" in found.content.decode()
    assert not Machine.objects.exists()
    assert answer(client, "letter").status_code == 302


@pytest.mark.parametrize(
    "host", ["qfb.example", "localhost.evil.example", "192.0.2.7:8000", "127.0.0.1.example"]
)
def test_asked_by_another_name_it_is_not_answered_and_by_the_laptops_own_it_is(client, host):
    """A proxy on the laptop, or a stranger's page whose name leads here, comes from this laptop too."""
    found = client.post(PAGE, {"step": "letter", **ANSWERS["letter"]}, HTTP_HOST=host)
    assert found.status_code == 403
    assert not Machine.objects.exists()
    assert client.get(PAGE, HTTP_HOST="[::1]:8000").status_code == 200
    assert answer(client, "letter").status_code == 302


def test_once_somebody_can_sign_in_nobody_is_asked_again(client, shop):
    """The owner is there: the page leads to the first one, and makes no second owner."""
    people.give_way_in(person=shop.owner, username="ragna", password="a-long-one-for-tests")
    count = Person.objects.count()
    assert answer(client, "owner", sign_in="thief")["Location"] == "/"
    assert Person.objects.count() == count


def test_laptop_that_merged_asks_which_owner_signs_in(client):
    """The people came with the bundle, their passwords did not: an owner among them gets a way in here."""
    laptop = make.Shop(letter="A")
    page = client.get(PAGE).content.decode()
    assert "Ragna Quill" in page
    assert "Odd Fether" not in page
    assert answer(client, "owner", person=str(laptop.owner), name="").status_code == 302
    assert SignIn.objects.get().person_id == laptop.owner
    assert Person.objects.count() == 3


def test_same_page_sent_twice_makes_one_shop(client):
    """The button pressed twice, with the page's own token."""
    answer(client, "letter")
    token = str(make.token())
    for _ in range(2):
        answer(client, "shop", token=token)
    assert Shop.objects.count() == 1


def test_stranger_who_scans_a_ski_is_not_sent_to_the_first_run(client):
    """A laptop that has books and no way in yet still answers a tag."""
    laptop = make.Shop(letter="A")
    laptop.place(Kind.STORE)
    _, ski, _ = laptop.pair()
    found = client.get(f"/OBJ/{Tag.objects.get(thing_id=ski).code}")
    assert found.status_code == 200
