"""Scans that led to nothing: what was read, when, by whom, and what was wrong with it.

Each laptop's own: they are no part of the books, travel nowhere and may be thrown away.
"""

from django.db import models


class ScanFailed(models.Model):
    """One scan that failed. `sentence` and `values` say why, so that a face can translate it."""

    id = models.UUIDField(primary_key=True)
    text = models.CharField(max_length=300)  # as it was read
    at = models.DateTimeField()
    who = models.UUIDField(null=True)
    wrong = models.CharField(max_length=40)  # the refusal's code
    sentence = models.CharField(max_length=300)
    values = models.JSONField(default=dict)

    class Meta:
        indexes = [models.Index(fields=["at"], name="scan_failed_by_time")]
