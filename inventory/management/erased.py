"""Erasing again, after a restore, everybody on the list of those who were erased."""

from collections.abc import Callable
from datetime import datetime

from django.db import transaction

from inventory.actions import erasing
from inventory.actions.by import By
from inventory.queries import erased
from inventory.queries.erased import Erased


def again(listed: list[Erased], by: Callable[[datetime], By], now: datetime) -> int:
    """Erase again whoever came back with a backup. Gives how many had."""
    count = 0
    for row in listed:
        files = erased.files_of(row.who)
        if erased.is_there(row.who):
            with transaction.atomic(durable=True):
                erasing.erase_guest(by(now), guest=row.who, reviewed=True)
            erasing.drop_files(files)
            count += 1
        elif erased.works_here(row.who):
            with transaction.atomic(durable=True):
                erasing.erase_person(by(now), person=row.who)
            count += 1
    return count
