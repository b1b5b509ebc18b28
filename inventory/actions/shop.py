"""WRITE the shop itself: its first machine, its name, its people."""

import re
import zoneinfo
from collections.abc import Mapping
from datetime import datetime
from uuid import UUID

from inventory.actions import cards
from inventory.actions.ledger import Act, happening
from inventory.actions.people import last_owner
from inventory.compute import shop_limits
from inventory.compute.codes import ALPHABET
from inventory.errors import Refused, say
from inventory.models import Machine, Person, Shop, Tagging
from inventory.queries import crew
from inventory.queries import ledger as read
from inventory.queries.shop import UNITS
from inventory.roles import Role

MOST_SPARE, MOST_PERCENT = 5, 100  # common practice, no source
_HOST = re.compile(r"[A-Z0-9]([A-Z0-9-]*[A-Z0-9])?(\.[A-Z0-9]([A-Z0-9-]*[A-Z0-9])?)*")


def found_machine(*, id: UUID, letter: str, name: str = "", fingerprint: str = "") -> None:
    """Make this installation a machine, with a letter that begins all codes it draws.

    Afterwards: this machine can write.
    Refused: machine.letter, machine.letter_taken.
    """
    letter = letter.strip().upper()
    if len(letter) != 1 or letter not in ALPHABET:
        raise Refused(
            "machine.letter",
            say("{letter} cannot be a machine letter.", letter=letter or "Nothing"),
            say("Choose one of {alphabet}.", alphabet=ALPHABET),
        )
    if any(machine.letter == letter for machine in read.machines()):
        raise Refused(
            "machine.letter_taken",
            say("The letter {letter} is another laptop's.", letter=letter),
            say("Choose a letter that no laptop of the shop has or had."),
        )
    Machine.objects.create(id=id, letter=letter, name=name, fingerprint=fingerprint, here=True)


def note_backup(*, at: datetime) -> None:
    """Remember when these books were last backed up and read again whole.

    Afterwards: the day sheet worries again only once more was written and a week has passed.
    """
    Machine.objects.filter(here=True).update(backed_up_at=at)


@happening
def open_shop(
    act: Act,
    /,
    *,
    name: str,
    host: str = "",
    reach: str = "",
    currency: str = "EUR",
    units: str = "metric",
    language: str = "en",
    time_zone: str = "",
    demo: bool = False,
) -> None:
    """Give the shop its name and settings. The host name of its tags may be chosen later.

    Afterwards: the shop has a card.
    Refused: shop.open_already, shop.no_name, shop.host, shop.currency, shop.time_zone.
    """
    if Shop.objects.exists():
        raise Refused(
            "shop.open_already", say("This shop is set up already."), say("Change its card instead.")
        )
    card = _checked(name=name, host=host, currency=currency, time_zone=time_zone)
    cards.save(act, Shop, act.id("shop"), **card, reach=reach, units=units, language=language, demo=demo)


@happening
def change_shop(
    act: Act,
    /,
    *,
    name: str | None = None,
    host: str | None = None,
    reach: str | None = None,
    currency: str | None = None,
    units: str | None = None,
    language: str | None = None,
    time_zone: str | None = None,
    spare_pairs: int | None = None,
    reserve_percent: int | None = None,
) -> None:
    """Change what is given on the shop's card; what is None stays.

    Afterwards: the card says so. The host stays once a tag was printed or a thing has a code.
    Refused: shop.none, shop.no_name, shop.host, shop.host_in_use, shop.currency, shop.time_zone,
    shop.reserve.
    """
    card = Shop.objects.first()
    if card is None:
        raise Refused("shop.none", say("There is no shop yet."), say("Set it up first."))
    given = {"name": name, "host": host, "currency": currency, "time_zone": time_zone}
    fields: dict[str, object] = _checked(**{key: value for key, value in given.items() if value is not None})
    if card.host and fields.get("host", card.host) != card.host and Tagging.objects.exists():
        raise Refused(
            "shop.host_in_use",
            say("Tags with the host name {host} are in use.", host=card.host),
            say("Keep that name: it stands on things that are out already."),
        )
    _check_reserve(spare_pairs, reserve_percent)
    more = {
        "reach": reach,
        "units": units,
        "language": language,
        "spare_pairs": spare_pairs,
        "reserve_percent": reserve_percent,
    }
    fields |= {key: value for key, value in more.items() if value is not None}
    cards.save(act, Shop, card.id, **fields)


@happening
def set_limits(act: Act, /, *, limits: Mapping[str, float | None]) -> None:
    """Say how far a finished ski may be off, and between what moisture wood is glued; None: as shipped.

    Afterwards: finished skis and wood are judged by it.
    Refused: shop.none, limits.number, limits.dry_wet, limits.unknown.
    """
    card = Shop.objects.first()
    if card is None:
        raise Refused("shop.none", say("There is no shop yet."), say("Set it up first."))
    cards.save(act, Shop, card.id, limits=shop_limits.checked(limits))


def _check_reserve(spare_pairs: int | None, percent: int | None) -> None:
    """Refuses: shop.reserve"""
    for value, most in ((spare_pairs, MOST_SPARE), (percent, MOST_PERCENT)):
        if value is not None and not 0 <= value <= most:
            raise Refused(
                "shop.reserve",
                say("{value} is more than a shop carries in reserve.", value=value),
                say("Enter 0 to {most}.", most=most),
            )


def _checked(**given: str) -> dict[str, object]:
    """Name, host, currency and time zone as they are kept.

    Refuses: shop.no_name, shop.host, shop.currency, shop.time_zone
    """
    kept: dict[str, object] = {key: value.strip() for key, value in given.items()}
    if "name" in kept and not kept["name"]:
        raise Refused("shop.no_name", say("The shop has no name."), say("Enter what it is called."))
    if kept.get("host"):
        kept["host"] = _host(str(kept["host"]))
    if "currency" in kept:
        kept["currency"] = _currency(str(kept["currency"]))
    if kept.get("time_zone"):
        _check_zone(str(kept["time_zone"]))
    return kept


def _check_zone(name: str) -> None:
    try:
        zoneinfo.ZoneInfo(name)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise Refused(
            "shop.time_zone",
            say("“{name}” is no time zone.", name=name[:64]),
            say("Choose one of the list, such as Europe/Oslo or America/Denver."),
        ) from error


def _host(text: str) -> str:
    host = text.upper()
    if not 3 <= len(host) <= 14:
        raise Refused(
            "shop.host",
            say(
                "The host name {host} has {count} characters; 3 to 14 fit on a tag.",
                host=host[:40],
                count=len(host),
            ),
            say("Choose a short name you own and keep: it stands on every ski for ever."),
        )
    if not _HOST.fullmatch(host):
        raise Refused(
            "shop.host",
            say("{host} is not a host name.", host=host),
            say("Use letters, digits, dots and hyphens only, such as TAG.EXAMPLE."),
        )
    return host


def _currency(text: str) -> str:
    if not re.fullmatch("[A-Za-z]{3}", text):
        raise Refused(
            "shop.currency",
            say("{text} is no currency.", text=text[:40] or "Nothing"),
            say("Enter its three letters, such as EUR, NOK or USD."),
        )
    return text.upper()


@happening
def take_on(
    act: Act,
    /,
    *,
    name: str,
    role: Role,
    under_18: bool = False,
    licence: str = "",
    size: str = "",
) -> None:
    """Take a person into the crew.

    Afterwards: events can name the person. The way in is given apart.
    """
    person = act.id("person")
    cards.save(act, Person, person, name=name, role=role.value, under_18=under_18, licence=licence, size=size)
    act.things.append(person)


@happening
def choose_units(act: Act, /, *, units: str) -> None:
    """Choose the units one reads, apart from the shop's; empty: as the shop has it.

    Afterwards: amounts and temperatures are shown to this person so. Nothing recorded changes.
    Refused: people.nobody, shop.units.
    """
    if units and units not in UNITS:
        raise Refused(
            "shop.units",
            say("“{units}” are no units that are shown here.", units=units[:40]),
            say("Choose metric or US units."),
        )
    if act.by.person is None:
        raise Refused("people.nobody", say("Nobody is signed in."), say("Sign in, then choose."))
    cards.save(act, Person, act.by.person, units=units)


@happening
def change_person(
    act: Act,
    /,
    *,
    person: UUID,
    name: str,
    role: Role,
    under_18: bool | None = None,
    licence: str | None = None,
    size: str | None = None,
) -> None:
    """Change a person's name or role, age, licence or size; None leaves one.

    Afterwards: the person may do what the new role may, from the next page on.
    Refused: card.unknown, people.last_owner.
    """
    more = {"under_18": under_18, "licence": licence, "size": size}
    given = {field: value for field, value in more.items() if value is not None}
    cards.edit(act, Person, person, {"name": name, "role": role.value, **given})
    if role is not Role.OWNER and not crew.other_owners(person):
        raise last_owner(name)
