"""One password tried on many names from one place is slowed, over all processes together.

Each name by itself is none of that place's but a few times wrong; together they are too many.  Who
signs in from elsewhere, or has a key or a session, notices nothing of it.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from math import ceil
from typing import Any

from axes.handlers.database import AxesDatabaseHandler
from axes.helpers import get_client_username
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


def wait_s(request: Any, credentials: Any = None) -> int:
    """Seconds until whoever is refused is heard again, by what was wrong from there lately."""
    rows = list(
        _wrong_lately(request).order_by("-attempt_time")
        .values_list("username", "attempt_time", "failures_since_start")
    )  # fmt: skip
    person = get_client_username(request, credentials)
    own = ((at, count) for name, at, count in rows if name == person)
    newest = {name: at for name, at, _count in reversed(rows)}
    names = ((at, 1) for at in sorted(newest.values(), reverse=True))
    found = (_reached(own, settings.AXES_FAILURE_LIMIT), _reached(names, MOST_NAMES))
    since = max((at for at in found if at), default=request.axes_attempt_time)
    left: timedelta = since + settings.AXES_COOLOFF_TIME - request.axes_attempt_time
    return max(1, ceil(left.total_seconds()))


def _reached(newest_first: Iterable[tuple[datetime, int]], most: int) -> datetime | None:
    """The last moment that counts: once it is forgotten there are fewer than ``most``."""
    total = 0
    for at, count in newest_first:
        total += count
        if total >= most:
            return at
    return None


def _tries_many_names(request: Any) -> bool:
    """Whether names enough were wrong from there lately; a name that came right counts no more."""
    wrong = _wrong_lately(request).order_by()
    return bool(wrong.values("username").distinct()[:MOST_NAMES].count() >= MOST_NAMES)


def _wrong_lately(request: Any) -> Any:
    since = request.axes_attempt_time - settings.AXES_COOLOFF_TIME
    return AccessAttempt.objects.filter(ip_address=request.axes_ip_address, attempt_time__gt=since)
