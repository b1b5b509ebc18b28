"""Says what to order for a season: what the list's page says, in words."""

import json
from argparse import ArgumentParser
from typing import Any

from django.utils import timezone

from inventory.errors import Refused, say
from inventory.formats.plain import plain
from inventory.management import order_words
from inventory.management.base import ShopCommand, moment
from inventory.queries import season as seasons
from inventory.queries.season import WhatIf
from inventory.queries.season.facts import list_fact
from inventory.queries.season.plan import season_list


class Command(ShopCommand):
    """`manage.py order SEASON`: exit code 0 when all is in time, 1 when not, 2 when it cannot say."""

    help = "Says what to order for a season, from whom, by when, and why."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("season", help="its name, or its id")
        parser.add_argument("--if", dest="what_if", choices=["full", "booked"], default="")
        parser.add_argument("--json", action="store_true", help="as data; /help documents the fields")

    def handle(self, *args: Any, season: str, what_if: str, **options: Any) -> None:
        """Find the season, ask the one query, and tell it.

        Refuses: season.unknown
        """
        self.need_books()
        found = seasons.named(season)
        if len(found) != 1:
            raise Refused(
                "season.unknown",
                say("{count} seasons are called {name}.", count=len(found), name=season[:80]),
                say("Write the name as it stands on the season's page, or its id."),
            )
        today = timezone.localdate(moment())
        answer = season_list(found[0], today, WhatIf(what_if))
        fact = list_fact(answer, today)
        if options["json"]:
            self.stdout.write(json.dumps(plain(fact), ensure_ascii=True, indent=2))
        else:
            for line in order_words.lines(fact):
                self.tell(line)
        if answer.against:
            self.no()
