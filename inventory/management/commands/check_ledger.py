"""Compares every derived row with the events it follows from, and says each difference."""

from argparse import ArgumentParser
from typing import Any

from django.db import transaction

from inventory.actions import rebuild as anew
from inventory.management.base import ShopCommand
from inventory.queries.books import Difference, differences


class Command(ShopCommand):
    """`manage.py check_ledger`: exit code 0 when the books are right, 1 when anything differs."""

    help = "Compares every derived row with the books, and says each difference."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--rebuild", action="store_true", help="write what differs anew, and say what was changed"
        )

    def handle(self, *args: Any, rebuild: bool, **options: Any) -> None:
        """Compare, and with --rebuild put right."""
        self.need_books()
        changed = self._rebuild() if rebuild else 0
        left = 0
        for left, difference in enumerate(differences(), 1):  # noqa: B007 - counts
            self._tell(difference)
        if left:
            self.say("Differences: {count}.", count=left)
            self.no()
        if changed:
            self.say("Rows written anew: {count}. The books are right.", count=changed)
        else:
            self.say("The books are right: every derived row is what the events say.")

    def _rebuild(self) -> int:
        count = 0
        with transaction.atomic(durable=True):
            for count, difference in enumerate(anew.rebuild(), 1):  # noqa: B007 - counts
                self._tell(difference, before="changed: ")
        return count

    def _tell(self, difference: Difference, before: str = "") -> None:
        self.tell(
            f"{difference.what} {difference.subject}: written {difference.written}; "
            f"by the events {difference.folded}",
            before=before,
        )
