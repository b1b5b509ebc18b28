"""READ the sign-ins of the demo season, for the sign-in page of the demo and of no other shop.

A real shop's books say that they are no demo, and then nothing is read or offered here.
"""

import json
from dataclasses import dataclass

from django.conf import settings

from inventory.models import SignIn
from inventory.queries import shop

FILE = settings.BASE_DIR / "fixtures" / "demo" / "season.json"


@dataclass(frozen=True, slots=True)
class Offer:
    """One sign-in of the demo."""

    name: str
    role: str
    sign_in: str
    password: str


def sign_ins() -> list[Offer]:
    """A sign-in for each role, where the books are the demo's; none in any other shop."""
    card = shop.card()
    if card is None or not card.demo or not FILE.is_file():
        return []
    season = json.loads(FILE.read_text("utf-8"))
    there = set(SignIn.objects.values_list("user__username", flat=True))
    return [
        Offer(row["name"], row["role"], row["sign_in"], season["password"])
        for row in season["people"]
        if row["sign_in"] in there
    ]
