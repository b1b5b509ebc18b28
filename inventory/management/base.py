"""What every command of the shop does alike: exit codes, refusals in words, the moment, whose books.

Exit code 0: done and fine; 1: done and the answer is no; 2: could not be done.
"""

import os
from argparse import ArgumentParser
from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django.conf import settings
from django.core.management.base import BaseCommand, OutputWrapper
from django.db import DatabaseError, connection, transaction
from django.utils import timezone, translation

from inventory.actions import exchange
from inventory.actions.by import By
from inventory.actions.watch import Watch, check_set
from inventory.compute import codes
from inventory.errors import Refused, Sentence, say
from inventory.forms import reader, sentences
from inventory.management import tables, troubles
from inventory.queries import machine, shop, zones

NO, COULD_NOT = 1, 2
CLOCK_RIGHT, CLOCK_OPTION = "clock_is_right", "--clock-is-right"
_LOCALES = ("LC_ALL", "LC_MESSAGES", "LANG")


def moment() -> datetime:
    """The moment, read once at the outermost layer.

    Refuses: clock.unset
    """
    return check_set(timezone.now())  # noqa: TID251 - this is the outermost layer


def language(environment: Mapping[str, str]) -> str:
    """The language a terminal asks for, where the pages have it: `nb_NO.UTF-8` is answered by nb.

    Source: POSIX.1-2017, section 8.2: LC_ALL, then LC_MESSAGES, then LANG.
    """
    asked = next((environment[name] for name in _LOCALES if environment.get(name)), "")
    wanted = asked.partition(".")[0].partition("@")[0].replace("_", "-").lower()
    known = [code for code, _ in settings.LANGUAGES]
    return next((code for code in (wanted, wanted.partition("-")[0]) if code in known), "en")


def new_id(now: datetime) -> UUID:
    """A fresh id or token."""
    return codes.uuid7(milliseconds=int(now.timestamp() * 1000), random=os.urandom(10))


class ShopCommand(BaseCommand):
    """A command that answers in sentences: a refusal becomes its sentence and what to do, and exit code 2."""

    requires_migrations_checks = False
    requires_system_checks = []  # for speed: `serve` checks all before it answers

    def execute(self, *args: Any, **options: Any) -> str | None:
        """Run in the terminal's language, and turn what is refused into words. Here and nowhere else."""
        language_ = translation.override(language(os.environ))
        with language_, reader.reading(us=False), timezone.override(timezone.get_current_timezone()):
            return self._run(*args, **options)

    def _run(self, *args: Any, **options: Any) -> str | None:
        try:
            return super().execute(*args, **options)
        except Refused as refused:
            self._refuse(refused)
        except OSError as error:
            self._refuse(troubles.of_the_folder(error, settings.DATA_FOLDER) or troubles.of_a_file(error))
        except DatabaseError as error:
            trouble = troubles.of_the_database(str(error), settings.DATA_FOLDER)
            if trouble is None:
                raise
            self._refuse(trouble)
        raise SystemExit(COULD_NOT)

    def _refuse(self, refused: Refused) -> None:
        self.stderr.write(f"{sentences.text(refused.sentence)}\n{sentences.text(refused.what_to_do)}")

    def say(self, template: str, /, **values: object) -> None:
        """Print one sentence."""
        self.tell(say(template, **values))

    def tell(self, sentence: Sentence | str, *, before: str = "") -> None:
        """Print one sentence or line; what the terminal has no letters for becomes a question mark."""
        write(self.stdout, f"{before}{sentences.text(sentence)}")

    def no(self) -> None:
        """End with: done, and the answer is no."""
        raise SystemExit(NO)

    def by(self, now: datetime) -> By:
        """The command's own tap: no person did it."""
        return By(token=new_id(now), now=now)

    def need_books(self) -> None:
        """Refuse a data folder that holds no books, or books this program cannot read; read as the shop does,
        and count days in its zone.

        Refuses: data.no_books, data.newer, data.older
        """
        tables.check(connection)
        card = shop.card()
        reader.read_as(us=bool(card and card.units == "us"))
        timezone.activate(zones.zone(card))

    def add_clock_argument(self, parser: ArgumentParser) -> None:
        """For a command that writes: the answer to the question whether the clock is right."""
        parser.add_argument(
            CLOCK_OPTION,
            action="store_true",
            help="the clock of this laptop is right, though it stands far from what was recorded last",
        )

    def check_clock(self, now: datetime, *, right: bool) -> None:
        """Before anything is written: hold the clock to what holds on pages. `right`: somebody said so.

        Refuses: clock.leap
        """
        refused = None if right else self.clock_asked(now)
        if refused is not None:
            raise refused

    def clock_asked(self, now: datetime, last: datetime | None = None) -> Refused | None:
        """Why nothing is recorded before somebody says that the clock is right; None when it may be.

        `last`: when somebody recorded something before; without it, as these books say. The demo has
        days of its own and asks nobody.
        """
        card = shop.card() if last is None else None
        last = machine.last_recorded() if last is None else last
        refused = Watch(now, None if card and card.demo else last).wrong(now)
        if refused is None:
            return None
        answer = say(
            "If the clock is right, add {option}. Else set it: nothing was written.", option=CLOCK_OPTION
        )
        return Refused(refused.code, refused.sentence, answer)

    def own_folder(self, now: datetime, letter: str = "") -> None:
        """Before anything is written: a copied or restored folder becomes a machine of its own.

        Refuses: machine.not_copied, machine.letter, machine.letter_taken
        """
        old = machine.moved()
        if old is None:
            if letter:
                raise Refused(
                    "machine.not_copied",
                    say("This data folder was not copied: its laptop keeps its letter."),
                    say("Leave --letter out, or copy the folder to the other laptop first."),
                )
            return
        with transaction.atomic(durable=True):
            exchange.carry_on(self.by(now), id=new_id(now), fingerprint=machine.fingerprint(), letter=letter)
        self.say(
            "This data folder was copied or restored: it goes on as another laptop with the letter {letter}. "
            "If the one it was copied from goes on too, merge the two.",
            letter=letter.upper() or old.letter,
        )


def write(out: OutputWrapper, text: str) -> None:
    """Print, whatever letters the terminal has."""
    try:
        out.write(text)
    except UnicodeEncodeError:
        encoding = getattr(out._out, "encoding", None) or "ascii"
        out.write(text.encode(encoding, "replace").decode(encoding))
