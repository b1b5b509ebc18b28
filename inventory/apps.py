"""Tells Django about the app."""

from django.apps import AppConfig


class InventoryConfig(AppConfig):
    """The one app of the shop."""

    name = "inventory"
    default_auto_field = "django.db.models.BigAutoField"
