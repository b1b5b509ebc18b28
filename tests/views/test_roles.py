"""Who may open what: one table of roles and addresses, crawled whole, with every method."""

import re
from itertools import islice

import pytest
from django.urls import reverse

from inventory.models import Guest
from inventory.roles import OPEN_TO_ALL
from tests.architecture.addresses import addresses
from tests.views import whole_shop

pytestmark = pytest.mark.django_db

ROLES = ("stranger", "helper", "crew", "owner")
METHODS = ("GET", "POST")
RARE = ("HEAD", "PUT", "PATCH", "DELETE", "OPTIONS")  # no page answers them otherwise than GET or with 405
# The lowest role that may open each page, written apart from the pages' own rights. A page added without a
# line here fails: say here whom it is for.
LOWEST = {
    "stranger": """
        people-sign-in public-tag public-record public-pass-on shop-first-run
        help help-page help-refusals help-rules
        """,
    "helper": """
        day day-off-season scan scan-photo scan-frame scan-many scan-send scan-failed thing thing-data
        shop-phones shop-clock
        people-sign-out people-units stock stock-open stock-draw stock-split stock-count stock-weigh
        lots-card materials materials-card equipment equipment-card care-age care-read care-warm papers-show
        loggers-attach loggers-look loggers-keep loggers-stop loggers-curve
        road-load road-depart road-arrive road-home road-come-home road-waste road-not-here road-weigh
        usage-factors
        places places-move places-put-away places-inside places-count
        trips-calendar
        tags-choose tags-sheet tags-ahead tags-single tags-replace tags-stick trips trips-trip trips-list
        trips-timetable trips-load-sheet trips-goods trips-checked
        bench-board laying-layers laying-end finishing-pair finishing-measure
        cutting-cut cutting-glue cutting-offcuts cutting-plan
        pressing-close pressing-cycle pressing-read pressing-log pressing-open
        bench mixing-correct mixing-discard press-mix press-lay-up press-cycle press-finish
        books-undo books-disagreements
        build-steps builds-workshop builds-spec builds-card builds-tag builds-step layups layups-card
        artwork-path artwork-file help-parts help-tour
        skis-back skis-back-log skis-back-unknown skis-back-find skis-back-case skis-back-tie skis-back-look
        skis-back-repair skis-back-service skis-back-suspects skis-back-chance skis-back-shares
        skis-back-forward skis-back-shelf skis-back-beside recalls warranty
        season
        """,
    "crew": """
        stock-receive stock-hold stock-write-off lots-edit materials-make materials-edit catalogue
        suppliers suppliers-make suppliers-card suppliers-edit suppliers-offer suppliers-offer-edit
        equipment-make equipment-edit equipment-plan equipment-replan equipment-inspect care-retest
        papers-attach papers-withdraw places-make places-edit trips-plan trips-edit
        trips-copy trips-put-on trips-set-aside trips-take-off builds-plan builds-book
        build-steps-add build-steps-change
        builds-change builds-design seats-book seats-change seats-guest seats-again
        layups-make layups-edit layups-layer layups-drop artwork-plan artwork-mark artwork-attach
        usage-record usage-accept usage-drop
        records-paper press-equipment closing-close closing-reopen finishing-inspect finishing-replace
        pressing-judge press-judge press-inspect press-hand-over books-settle
        skis-back-answer skis-back-send recalls-hold recalls-recall recalls-tell recalls-letters recalls-paper
        mock-recalls mock-recalls-sheet
        season-make season-edit season-list season-material season-rule orders orders-write orders-order
        season-calendar money money-workshop sheets sheets-take sheets-template
        season-lowest season-accept orders-paper sheets-out
        orders-sheet orders-send orders-edit orders-give-up orders-line orders-end orders-add
        """,
    "owner": """
        stock-lift shop-host shop-card shop-limits pressing-early
        people people-take-on people-devices people-edit people-way-in people-end people-device-out
        people-erase people-erase-crew
        recalls-open recalls-authority recalls-add recalls-close
        warranty-make warranty-edit
        """,
}
TABLE = {name: role for role, names in LOWEST.items() for name in names.split()}


def let_in(answer, role: str) -> bool:
    """True when the page itself answered, whatever it said."""
    if role == "stranger":
        return not (answer.status_code == 302 and answer["Location"].startswith(reverse("people-sign-in")))
    return answer.status_code != 403


def test_table_names_every_address_there_is_once():
    """Complete by construction: nothing is open because nobody thought of it."""
    assert set(TABLE) == {address.name for address in addresses()}
    assert sum(len(names.split()) for names in LOWEST.values()) == len(TABLE)
    assert set(LOWEST["stranger"].split()) == set(OPEN_TO_ALL)


@pytest.mark.parametrize("role", ROLES)
def test_every_address_lets_in_whom_the_table_says_by_every_method(shop, client, role):
    """A role is let in where its row says and nowhere else."""
    whole = whole_shop.fill(shop)
    client.raise_request_exception = False
    whole.sign_in(client, role)
    wrong = []
    for address in addresses():
        wanted = ROLES.index(role) >= ROLES.index(TABLE.get(address.name, "owner"))
        for method in (*METHODS, *(RARE if not wanted else ())):
            if address.name == "people-sign-out":
                whole.sign_in(client, role)
            answer = client.generic(method, address.sample)
            if let_in(answer, role) != wanted:
                wrong.append((address.name, method, answer.status_code))
        if address.name in {"people-sign-out", "people-sign-in"}:
            whole.sign_in(client, role)
    assert wrong == []


def crawl(whole, client, role):
    """Every page of every address with every kind of thing, as this role is answered.

    Where the role is not let in, which the test above holds for every address, one page of each says it all.
    """
    whole.sign_in(client, role)
    client.raise_request_exception = True
    for address in addresses():
        let = ROLES.index(role) >= ROLES.index(TABLE.get(address.name, "owner"))
        for path in islice(whole.paths(address), None if let else 1):
            answer = client.get(path)
            if not answer.streaming:
                yield path, answer.content.decode("utf-8", "replace")


def test_no_page_tells_a_price_a_contact_or_a_name_to_whom_it_is_not_for(shop, client):
    """Searched in the HTML of the whole crawl, and found there by the crew.

    A helper sees names at the bench, not what suppliers ask or how to reach people; a stranger no name.
    """
    whole = whole_shop.fill(shop)
    assert Guest.objects.exists()
    price = re.compile(r"(?<![\w-])7[,\u202f]?341(?![\w-])")  # not inside a token or a code
    for path, page in crawl(whole, client, "helper"):
        assert not price.search(page), path
        for secret in (whole_shop.CONTACT, whole_shop.REACH):
            assert secret not in page, path
    words = {word for name in whole.names for word in name.split()} | {whole_shop.CONTACT}
    words -= {"Quill"}  # part of the made shop's own name
    for path, page in crawl(whole, client, "stranger"):
        for word in words:  # not inside a token
            assert not re.search(rf"(?<![A-Za-z0-9]){re.escape(word)}(?![A-Za-z0-9])", page), (path, word)
    pages = "".join(page for _, page in crawl(whole, client, "crew"))
    assert price.search(pages)
    assert whole_shop.REACH in pages
    assert whole.names[0].split()[0] in pages
