"""Temperature loggers. What they wrote is the ledger's; the file lies in the data folder as a paper."""

from django.db import models

from inventory.models.ledger import Thing


class Logger(models.Model):
    """One temperature logger: how it writes its files, and where it hangs."""

    id = models.UUIDField(primary_key=True)
    name = models.CharField(max_length=80)
    serial = models.CharField(max_length=40, blank=True)  # as its files say; empty: they do not
    shape = models.JSONField(default=dict)
    zone = models.CharField(max_length=60)
    probe = models.CharField(max_length=80, blank=True)  # the column that counts
    place = models.ForeignKey(Thing, models.PROTECT, related_name="loggers")
