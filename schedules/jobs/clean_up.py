"""Throws out rows that nobody can use any more."""

from __future__ import annotations

from dataclasses import astuple, dataclass
from datetime import datetime, timedelta

from axes.models import AccessAttempt
from django.conf import settings
from django.contrib.sessions.models import Session
from django.db.models import Exists, Model, OuterRef, Q, QuerySet
from knox.models import get_token_model

from fleet.models import LinkGuesses, OwnerLink
from fleet.services.guesses import WITHIN
from schedules.models import DueChange
from visits.models import Decision, RunningTold, VisitAnswer

CHANGES_KEPT = timedelta(days=400)
"""A year and a month: this week can still be held against last year's."""
LINKS_KEPT = timedelta(days=180)
"""After a link is past its time; until then the register tells of whom a letter's link was."""
ANSWERS = (Decision, RunningTold, VisitAnswer)
"""What may name the link by which it came."""
AT_ONCE = 1_000


@dataclass(frozen=True)
class Cleaned:
    """How many rows of each kind went."""

    changes: int
    sessions: int
    keys: int
    attempts: int
    guesses: int
    links: int

    @property
    def rows(self) -> int:
        """How many went in all."""
        return sum(astuple(self))


def clean_up(*, now: datetime) -> Cleaned:
    """Throw out changes of dates older than ``CHANGES_KEPT``, sessions and devices' keys past their
    time, wrong passwords and guessed links that no longer keep anybody out, and owners' links long
    past their time; a link by which somebody answered stays with the answer.

    In small transactions: nobody waits long for one, and a run that broke off goes on next time.
    """
    locking = now - settings.AXES_COOLOFF_TIME
    return Cleaned(
        changes=_throw_out(DueChange.objects.filter(changed_at__lt=now - CHANGES_KEPT)),
        sessions=_throw_out(Session.objects.filter(expire_date__lt=now)),
        keys=_throw_out(get_token_model().objects.filter(expiry__lt=now)),
        attempts=_throw_out(AccessAttempt.objects.filter(attempt_time__lt=locking)),
        guesses=_throw_out(LinkGuesses.objects.filter(since__lt=now - WITHIN)),
        links=_throw_out(_unused_links().filter(expires_at__lt=now - LINKS_KEPT)),
    )


def _unused_links() -> QuerySet[OwnerLink]:
    """Links that no answer names."""
    answers = (model.objects.filter(link=OuterRef("pk")) for model in ANSWERS)
    return OwnerLink.objects.filter(*(~Exists(each) for each in answers))


def _throw_out(rows: QuerySet[Model]) -> int:
    thrown = 0
    while keys := list(rows.order_by("pk").values_list("pk", flat=True)[:AT_ONCE]):
        # asked again: a session or key used meanwhile has more time
        thrown += rows.filter(Q(pk__in=keys)).delete()[0]
    return thrown
