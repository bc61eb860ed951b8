"""What the record says of one ISO week, in a fixed number of questions.

Visits count by the day they were made on at their site, answers by the day they were given, emails
by the office's clock.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import cached_property
from zoneinfo import ZoneInfo

from django.db.models import Exists, OuterRef, Q, QuerySet

from schedules.done.figures import Figures, read_done
from schedules.done.misses import NoWayUp, no_way_up
from schedules.due.advised import Failed, after_advice
from schedules.due.bought import walk_visits
from schedules.models import Booking, DueChange, Notice
from schedules.notices.summary.found import NewFinding, new_findings
from visits.losses import once_each, read_losses
from visits.models import Check, Decision, Finding, NotReached, Visit

MOST_NAMED = 12


@dataclass(frozen=True)
class Walks:
    """Walk-throughs made, fans walked by their due day, after it, and of no known due day."""

    visits: int
    in_time: int
    late: int
    unknown: int


@dataclass(frozen=True)
class Booked:
    """Visits booked for the week, and those of whose day a visit is on record at the site."""

    booked: int
    made: int


@dataclass(frozen=True)
class Letters:
    """Emails that went, and that were given up; the newest of those."""

    sent: int
    given_up: int
    named: Sequence[Notice]


@dataclass
class WeekPast:
    """The week that begins on ``first``, a Monday, as told ``now``."""

    first: date
    zone: ZoneInfo
    now: datetime

    @property
    def last(self) -> date:
        return self.first + timedelta(days=6)

    @property
    def _span(self) -> tuple[datetime, datetime]:
        """Its first moment and the first after it, by the office's clock."""
        begins = datetime.combine(self.first, time(), self.zone)
        return begins, datetime.combine(self.last + timedelta(days=1), time(), self.zone)

    @cached_property
    def walks(self) -> Walks:
        """By the log of due days: each fan's day before the walk, against the day of the walk."""
        visits = walk_visits().filter(local_on__range=(self.first, self.last))
        looks = Check.objects.filter(visit__in=visits, stage="as_found").values_list(
            "fan", "visit", "visit__local_on", "visit__received_at"
        )
        rows = list(looks.order_by("visit__began_at"))
        due = self._due_days({fan for fan, *_ in rows})
        counted: Counter[str] = Counter()
        for fan, on, received in {fan: (fan, on, at) for fan, _, on, at in rows}.values():
            before = next((day for at, day in due.get(fan, ()) if at >= received), None)
            counted["unknown" if before is None else "in_time" if on <= before else "late"] += 1
        made = len({visit for _, visit, *_ in rows})
        return Walks(made, counted["in_time"], counted["late"], counted["unknown"])

    def _due_days(self, fans: set[int]) -> Mapping[int, list[tuple[datetime, date | None]]]:
        """By fan, each change's instant with the day that was due before it."""
        found: dict[int, list[tuple[datetime, date | None]]] = {}
        rows = DueChange.objects.filter(fan__in=fans, changed_at__gte=self._span[0])
        told = rows.order_by("changed_at", "pk").values_list("fan", "changed_at", "due_on_before")
        for fan, at, day in told:
            found.setdefault(fan, []).append((at, day))
        return found

    @cached_property
    def booked(self) -> Booked:
        """Standing bookings against visits of the same day at the same site."""
        made = Visit.objects.standing().filter(site=OuterRef("site"), local_on=OuterRef("day"))
        rows = Booking.objects.standing().filter(day__range=(self.first, self.last))
        told = list(rows.annotate(is_made=Exists(made)).values_list("is_made", flat=True))
        return Booked(len(told), sum(told))

    @cached_property
    def not_reached(self) -> Sequence[NotReached]:
        """What visits of the week did not get at, and why; whole fans first."""
        rows = NotReached.objects.filter(visit__in=self._visits())
        return list(rows.select_related("fan__site", "visit").order_by("item", "visit__local_on"))

    @cached_property
    def promises(self) -> Figures:
        """What the week's published rounds promised, and what came of it."""
        return read_done(self.first, self.first, self.now).total

    @cached_property
    def no_way_up(self) -> Sequence[NoWayUp]:
        """Roofs onto which nobody could get, as it stands now."""
        return no_way_up(self.now)

    @cached_property
    def found(self) -> Sequence[NewFinding]:
        """Stops and acts of the week that the look before did not have; stops first."""
        return new_findings(self._visits(), self.first)

    @cached_property
    def failures(self) -> Sequence[Failed]:
        """Losses of function first told in the week, with advice that led to nothing before."""
        lost = Finding.objects.losses().filter(visit__in=self._visits())
        told = lost.order_by().values_list("fan", "pk")
        fans = {fan for fan, _ in told}
        once = {loss.finding for loss in once_each(read_losses(Q(fan__in=fans)))}
        return after_advice(lost.filter(pk__in=[pk for _, pk in told if pk in once]))

    @cached_property
    def decisions(self) -> Sequence[Decision]:
        """Owners' answers given in the week."""
        rows = Decision.objects.filter(decided_on__range=(self.first, self.last))
        return list(rows.select_related("fan__site__owner").order_by("decided_on", "pk"))

    @cached_property
    def letters(self) -> Letters:
        """What became of emails in the week."""
        begins, ends = self._span
        failed = Notice.objects.failed().filter(given_up_at__gte=begins, given_up_at__lt=ends)
        sent = Notice.objects.filter(sent_at__gte=begins, sent_at__lt=ends).count()
        named = failed.select_related("owner", "person").order_by("-given_up_at")[:MOST_NAMED]
        return Letters(sent, failed.count(), list(named))

    def _visits(self) -> QuerySet[Visit]:
        return Visit.objects.standing().filter(local_on__range=(self.first, self.last))
