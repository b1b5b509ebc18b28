"""WRITE the shop itself: its first machine, its name, its people."""

from uuid import UUID

from inventory.actions import cards
from inventory.actions.ledger import Act, happening
from inventory.compute.codes import ALPHABET
from inventory.errors import Refused, say
from inventory.models import Machine, Person, Shop
from inventory.queries import ledger as read
from inventory.roles import Role


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


@happening
def open_shop(act: Act, /, *, name: str, host: str, reach: str = "", demo: bool = False) -> None:
    """Give the shop its name and the host name of its tags.

    Afterwards: the shop has a card.
    Refused: shop.open_already, shop.host.
    """
    if Shop.objects.exists():
        raise Refused(
            "shop.open_already", say("This shop is set up already."), say("Change its card instead.")
        )
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
    cards.save(act, Shop, act.id("shop"), name=name, host=host.upper(), reach=reach, demo=demo)


@happening
def take_on(act: Act, /, *, name: str, role: Role) -> None:
    """Take a person into the crew.

    Afterwards: events can name the person. The way in is given apart.
    """
    person = act.id("person")
    cards.save(act, Person, person, name=name, role=role.value)
    act.things.append(person)
