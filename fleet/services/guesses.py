"""Links that strangers make up are counted, by address and for all hosts alike."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db.models import F
from django.utils.crypto import salted_hmac

from config.api.signing_in import place_of
from fleet.models import LinkGuesses

MOST, WITHIN = 30, timedelta(minutes=10)
"""Words cannot be guessed; this only keeps guessers from costing much.  Our choice."""
SALT = "fleet.services.guesses"


def count_guess(*, address: str, now: datetime) -> bool:
    """Count a link that is none; whether more of them came from there lately than may.

    Those beyond are not written down: they cost a look and no more.  A link that is one is never
    asked about here, so that nobody who guesses keeps an owner out.
    """
    key = _key(address)
    counted = LinkGuesses.objects.filter(pk=key, since__gt=now - WITHIN)
    if counted.filter(guesses__gte=MOST).exists():
        return True
    if not counted.update(guesses=F("guesses") + 1):
        LinkGuesses.objects.update_or_create(pk=key, defaults={"since": now, "guesses": 1})
    return False


def _key(address: str) -> str:
    """Tells addresses apart and says none of them."""
    return salted_hmac(SALT, place_of(address), algorithm="sha256").hexdigest()
