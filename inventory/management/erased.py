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
        if erased.is_there(row.guest):
            files = erased.files_of(row.guest)
            with transaction.atomic(durable=True):
                erasing.erase_guest(by(now), guest=row.guest)
            erasing.drop_files(files)
            count += 1
    return count
