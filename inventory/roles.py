"""Who may do what: one table of roles and rights. Knows no request and no table; faces and tests read it.

A page names the one right it needs (`views.frame.needs`); a page with none is refused at start-up
unless its name is in OPEN_TO_ALL.
"""

from enum import StrEnum


class Role(StrEnum):
    """Whom a signed-in person works as."""

    OWNER = "owner"
    CREW = "crew"
    HELPER = "helper"


class Right(StrEnum):
    """One thing a page may ask for."""

    SEE = "see stock, bench and trips"
    RECORD = "scan, move, tick, count and record at the bench"
    RUN = "receive, plan, book and judge"
    PRICES = "see prices"
    PEOPLE = "see guests' contacts"
    OWN = "roles, backups, erasing, recalls, lifting holds"


RIGHTS: dict[Role, frozenset[Right]] = {
    Role.HELPER: frozenset({Right.SEE, Right.RECORD}),
    Role.CREW: frozenset({Right.SEE, Right.RECORD, Right.RUN, Right.PRICES, Right.PEOPLE}),
    Role.OWNER: frozenset(Right),
}

# Pages a stranger may open, by the name of their address. Nothing on them names a person.
OPEN_TO_ALL: frozenset[str] = frozenset(
    {
        "people-sign-in",
        "public-tag",
        "public-record",  # shows nothing before the pair's second secret
        "public-pass-on",
        "shop-first-run",  # only while the shop is not set up, and only on the laptop itself
        "help",
        "help-page",
        "help-refusals",
        "help-rules",
    }
)


def may(role: Role | None, right: Right) -> bool:
    """True when this role holds this right; nobody holds any without a role."""
    return role is not None and right in RIGHTS[role]
