"""Collects every text of the screens into a language's catalogue, to be translated there."""

from argparse import ArgumentParser
from typing import Any

from inventory.management import strings
from inventory.management.base import ShopCommand


class Command(ShopCommand):
    """`manage.py words LANGUAGE`: new texts are added, translated ones kept, gone ones dropped."""

    help = "Collects every text of the screens into inventory/locale, and compiles what is translated."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("language", help="its letters, such as nb, de or pt_BR")

    def handle(self, *args: Any, language: str, **options: Any) -> None:
        """Write it."""
        file, texts, done = strings.write(language)
        self.say("{done} of {texts} texts are translated: {file}", done=done, texts=texts, file=file)
