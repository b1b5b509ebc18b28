"""Tries a recall: a lot at random, both ways against the clock, every gram reckoned up."""

import json
import secrets
from argparse import ArgumentParser
from time import perf_counter_ns
from typing import Any

from django.db import transaction

from inventory.actions import recalls
from inventory.compute.units import Amount, Base
from inventory.errors import Refused, say
from inventory.formats.plain import plain
from inventory.management import words
from inventory.management.base import CLOCK_RIGHT, ShopCommand, moment
from inventory.queries import recalls_mock as queries
from inventory.queries.dossier import thing_of


class Command(ShopCommand):
    """`manage.py mock_recall`: exit code 0 when both ways agree and all is accounted for, 1 when not."""

    help = "Tries a recall of a lot at random; nothing is held, nobody is told, and the result is kept."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--lot", help="the code of a lot, instead of one at random")
        parser.add_argument("--json", action="store_true", help="as data")
        self.add_clock_argument(parser)

    def handle(self, *args: Any, lot: str | None, **options: Any) -> None:
        """Draw a lot, try, keep, tell."""
        self.need_books()
        now = moment()
        self.check_clock(now, right=options[CLOCK_RIGHT])
        found = queries.choices()
        if not found:
            raise Refused("recall.no_lot", say("There is no lot to try."), say("Receive stock first."))
        chosen = thing_of(lot) if lot else secrets.choice(found)
        result = queries.try_out(lot=chosen, stopwatch=lambda: perf_counter_ns() // 1000)
        with transaction.atomic(durable=True):
            done = recalls.keep_mock_recall(self.by(now), lot=chosen, tried_at=now, result=result)
        row = queries.one(done.things[-1])
        assert row is not None, "it was kept"  # noqa: S101 - for the type checker
        if options["json"]:
            self.stdout.write(json.dumps(plain({"lot": row.lot.code, **result}), indent=2))
        else:
            self._tell(row)
        if result["back_finds_the_lot"] is False or result["became"].get("unexplained"):
            self.no()

    def _tell(self, row: queries.Tried) -> None:
        result, base = row.result, Base(row.result["base"])
        number = row.label.number if row.label else ""
        self.say("Tried: {lot} {number}. Nothing was held and nobody was told.", lot=row.lot, number=number)
        self.say(
            "Forwards in {seconds} s: {skis} skis, {pairs} pairs with owners, {reach} of them with a "
            "contact, {work} skis in work, {packages} packages; {hold} things would go on hold.",
            seconds=_seconds(result["forward_us"]),
            skis=result["skis"],
            pairs=result["pairs_out"],
            reach=result["owners_reachable"],
            work=result["in_work"],
            packages=result["packages"],
            hold=result["to_hold"],
        )
        if result["back_finds_the_lot"] is None:
            self.say("No ski has any of it: there is no way back to try.")
        elif result["back_finds_the_lot"]:
            self.say(
                "Backwards in {seconds} s: one of these skis leads to {count} things, the lot among them.",
                seconds=_seconds(result["back_us"]),
                count=result["back_things"],
            )
        else:
            self.say("Backwards: one of these skis does not lead to the lot. Check the books.")
        self.say(
            "Reckoned up in {seconds} s: {amount} was received.",
            seconds=_seconds(result["reckoned_us"]),
            amount=words.amount(Amount(result["received"], base)),
        )
        for became, value in result["became"].items():
            if value:
                self.tell(f"  {became}: {words.amount(Amount(value, base))}")
        for name, limit in queries.LIMITS:
            self.say("Beside it: {limit} ({hours} h).", limit=name, hours=limit // 3600)


def _seconds(microseconds: int) -> str:
    return f"{microseconds / 1e6:.3f}"
