"""Issuing and asking for a pair's second secret. Whoever guesses is shut out after a few tries."""

import os
from uuid import UUID

from axes.handlers.proxy import AxesProxyHandler
from django.contrib.auth.hashers import make_password
from django.contrib.auth.signals import user_login_failed
from django.http import HttpRequest

from inventory.actions import records as actions
from inventory.compute import owner_code
from inventory.queries import records as queries
from inventory.views.frame import write


def issue(request: HttpRequest, pair: UUID) -> str:
    """Make a new secret, keep its hash, and return it as printed: it is never known again."""
    code = owner_code.make(random=os.urandom(owner_code.LENGTH))
    write(request, actions.issue_owner_code, pair=pair, hashed=make_password(code))
    return owner_code.shown(code)


def shut(request: HttpRequest, pair: UUID) -> bool:
    """True while this address has tried too often for this pair."""
    return not AxesProxyHandler.is_allowed(request, _who(pair))


def opens(request: HttpRequest, pair: UUID, typed: str) -> bool:
    """True when this is the pair's secret. A wrong one is counted, by pair and address, as a sign-in is."""
    if queries.opens(pair, typed):
        return True
    user_login_failed.send(sender=__name__, credentials=_who(pair), request=request)
    # The page says so itself, from the next try on.
    request.axes_locked_out = False  # type: ignore[attr-defined]
    return False


def _who(pair: UUID) -> dict[str, str]:
    return {"username": f"pair {pair}"}
