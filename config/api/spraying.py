"""One password tried on many names from one place is slowed, over all processes together.

Each name by itself is none of that place's but a few times wrong; together they are too many.  Who
signs in from elsewhere, or has a key or a session, notices nothing of it.
"""

from __future__ import annotations

from typing import Any

from axes.handlers.database import AxesDatabaseHandler
from axes.models import AccessAttempt
from django.conf import settings
from django.http import HttpRequest

MOST_NAMES = 20
"""Of one place within ``AXES_COOLOFF_TIME``.  Our choice: a whole office does not mistype so many,
and a sprayer is left some 2,000 guesses a day."""


class ManyNamesHandler(AxesDatabaseHandler):  # type: ignore[misc]  # it tells no types
    """Refuses a person after too many wrong passwords from one place, and then a place after too
    many names that were none or had wrong ones; what is refused is not written down.
    """

    def is_locked(self, request: HttpRequest, credentials: Any = None) -> bool:
        return super().is_locked(request, credentials) or _tries_many_names(request)


def _tries_many_names(request: Any) -> bool:
    """Whether names enough were wrong from there lately; a name that came right counts no more."""
    since = request.axes_attempt_time - settings.AXES_COOLOFF_TIME
    wrong = AccessAttempt.objects.order_by().filter(
        ip_address=request.axes_ip_address, attempt_time__gt=since
    )
    return bool(wrong.values("username").distinct()[:MOST_NAMES].count() >= MOST_NAMES)
