"""Who works here and who builds. Personal data lives here only; revisions keep field names and no values."""

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from inventory.compute.build_steps import AgeBand
from inventory.models.ledger import Thing
from inventory.models.shop import UNITS
from inventory.roles import Role

NO_LONGER_HERE = _("someone no longer here")  # who was erased


class Person(models.Model):
    """Someone of the crew. Events name the id."""

    id = models.UUIDField(primary_key=True)
    name = models.CharField(max_length=80)
    role = models.CharField(max_length=10, choices=[(role.value, role.value) for role in Role])
    under_18 = models.BooleanField(default=False)
    licence = models.CharField(max_length=40, blank=True)  # classes they may drive, as on the licence
    size = models.CharField(max_length=20, blank=True)  # of what is worn
    units = models.CharField(max_length=6, blank=True, choices=[(units, units) for units in UNITS])

    @property
    def called(self) -> str:
        """The name, or that the person was erased."""
        return self.name or str(NO_LONGER_HERE)


class SignIn(models.Model):
    """A person's way in on this machine; passwords do not travel."""

    person = models.OneToOneField(Person, models.CASCADE, primary_key=True, related_name="sign_in")
    user = models.OneToOneField(settings.AUTH_USER_MODEL, models.CASCADE, related_name="sign_in")


class Guest(models.Model):
    """Who builds a pair. A band, never a birth date; health answers stay on paper."""

    id = models.UUIDField(primary_key=True)
    name = models.CharField(max_length=120, blank=True)
    age_band = models.CharField(max_length=10, blank=True, choices=[(band, band) for band in AgeBand])
    contact = models.CharField(max_length=200, blank=True)
    size = models.CharField(max_length=20, blank=True)  # of what is worn
    consent = models.BooleanField(null=True)  # to keep what is on this card; empty: not asked yet

    @property
    def called(self) -> str:
        """The name, or that the guest was erased."""
        return self.name or str(NO_LONGER_HERE)


class OwnerCode(models.Model):
    """The second secret of a pair, hashed: it opens the pair's build record. It names nobody."""

    pair = models.OneToOneField(Thing, models.PROTECT, primary_key=True, related_name="owner_code")
    hashed = models.CharField(max_length=200)
