"""Tells Django about the app, and puts the guards back after every migration."""

from typing import Any

from django.apps import AppConfig
from django.db import connections
from django.db.models.signals import post_migrate


def _put_guards_on(sender: Any, using: str, **kwargs: Any) -> None:
    from inventory.models import guards

    guards.put_on(connections[using])


class InventoryConfig(AppConfig):
    """The one app of the shop."""

    name = "inventory"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Register the system checks and the guards; let forms speak the house's words."""
        from inventory import checks  # noqa: F401
        from inventory.forms import own_words

        own_words.speak()

        post_migrate.connect(_put_guards_on, sender=self)
