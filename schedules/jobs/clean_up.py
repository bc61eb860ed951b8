"""Throws out rows that nobody can use any more."""

from __future__ import annotations

from dataclasses import astuple, dataclass
from datetime import datetime, timedelta

from axes.models import AccessAttempt
from django.conf import settings
from django.contrib.sessions.models import Session
from django.db.models import Model, Q, QuerySet
from knox.models import get_token_model

from schedules.models import DueChange

CHANGES_KEPT = timedelta(days=400)
"""A year and a month: this week can still be held against last year's."""
AT_ONCE = 1_000


@dataclass(frozen=True)
class Cleaned:
    """How many rows of each kind went."""

    changes: int
    sessions: int
    keys: int
    attempts: int

    @property
    def rows(self) -> int:
        """All of them."""
        return sum(astuple(self))


def clean_up(*, now: datetime) -> Cleaned:
    """Throw out changes of dates older than ``CHANGES_KEPT``, sessions and devices' keys past their
    time, and wrong passwords that no longer lock anybody out.

    In small transactions: nobody waits long for one, and a run that broke off goes on next time.
    """
    locking = now - settings.AXES_COOLOFF_TIME
    return Cleaned(
        changes=_throw_out(DueChange.objects.filter(changed_at__lt=now - CHANGES_KEPT)),
        sessions=_throw_out(Session.objects.filter(expire_date__lt=now)),
        keys=_throw_out(get_token_model().objects.filter(expiry__lt=now)),
        attempts=_throw_out(AccessAttempt.objects.filter(attempt_time__lt=locking)),
    )


def _throw_out(rows: QuerySet[Model]) -> int:
    thrown = 0
    while keys := list(rows.order_by("pk").values_list("pk", flat=True)[:AT_ONCE]):
        # asked again: a session or key used meanwhile has more time
        thrown += rows.filter(Q(pk__in=keys)).delete()[0]
    return thrown
