"""Beside a date: a first check owed, what was not reached, bookings, what a kitchen said."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from django.db.models import Max, Q, QuerySet

from schedules.due.local_days import LocalDays
from schedules.models import Booking, DueState
from visits.models import Check, NotReached, RunningTold, Visit


def waiting_for_first_check(states: Sequence[DueState]) -> frozenset[int]:
    """Fans due on the day given when they came in, which nobody has checked here yet."""
    given = {s.fan_id for s in states if s.due_on and s.due_on == s.fan.onboarding_on}
    if not given:
        return frozenset()
    here = Check.objects.filter(fan__in=given, visit__here=True, visit__superseded_by__isnull=True)
    return frozenset(given.difference(here.values_list("fan", flat=True)))


def not_reached_of(fan_ids: Sequence[int]) -> Mapping[int, list[NotReached]]:
    """By fan id, what a visit did not reach, where nobody has checked the fan since."""
    rows = NotReached.objects.filter(fan__in=fan_ids, visit__superseded_by__isnull=True)
    by_fan: dict[int, list[NotReached]] = defaultdict(list)
    for row in rows.select_related("visit").order_by("visit__began_at", "pk"):
        by_fan[row.fan_id].append(row)
    checks = Check.objects.filter(fan__in=by_fan.keys(), visit__superseded_by__isnull=True)
    last_check = dict(checks.order_by().values_list("fan").annotate(Max("visit__began_at")))
    found = {}
    for fan_id, missed in by_fan.items():
        last = missed[-1].visit
        if fan_id not in last_check or last_check[fan_id] <= last.began_at:
            found[fan_id] = [row for row in missed if row.visit_id == last.pk]
    return found


def next_bookings(site_ids: Iterable[int], days: LocalDays) -> Mapping[int, Booking]:
    """By site, the first standing booking of its today or later."""
    found: dict[int, Booking] = {}
    for booking in _bookings_ahead(site_ids, days):
        found.setdefault(booking.site_id, booking)
    return found


def who_comes_next(states: Sequence[DueState], days: LocalDays) -> Mapping[int, Booking]:
    """By fan, the first booking ahead at its site; not today's where that look has been taken."""
    if not states:
        return {}
    by_site: dict[int, list[Booking]] = defaultdict(list)
    for booking in _bookings_ahead({state.site_id for state in states}, days):
        by_site[booking.site_id].append(booking)
    looked = _looked_at_today([state for state in states if state.site_id in by_site], days)
    found: dict[int, Booking] = {}
    for state in states:
        today = days.of(state.site.time_zone)
        for booking in by_site[state.site_id]:
            if booking.day > today or state.fan_id not in looked:
                found.setdefault(state.fan_id, booking)
    return found


def _bookings_ahead(site_ids: Iterable[int], days: LocalDays) -> QuerySet[Booking]:
    rows = Booking.objects.standing().filter(
        days.matching(lambda today: Q(day__gte=today)), site__in=set(site_ids)
    )
    return rows.select_related("technician", "site").order_by("day", "from_minute", "id")


def _looked_at_today(states: Sequence[DueState], days: LocalDays) -> frozenset[int]:
    """Fans looked at on their site's today, as far as their records are in."""
    if not states:
        return frozenset()
    today = Visit.objects.standing().filter(
        days.matching(lambda today: Q(local_on=today)),
        site__in={state.site_id for state in states},
        here=True,
    )
    checks = Check.objects.filter(visit__in=today, fan__in=[state.fan_id for state in states])
    return frozenset(checks.order_by().values_list("fan", flat=True))


def told_standing(fan_ids: Iterable[int]) -> Mapping[int, RunningTold]:
    """By fan id, a kitchen's last word where it was not "running" and nobody has looked since."""
    words = _last_words(fan_ids)
    return _not_looked_since([row for row in words if row.answer != row.Answer.RUNNING])


def told_running(fan_ids: Iterable[int]) -> Mapping[int, RunningTold]:
    """The same where it was "running"."""
    words = _last_words(fan_ids)
    return _not_looked_since([row for row in words if row.answer == row.Answer.RUNNING])


def _last_words(fan_ids: Iterable[int]) -> Iterable[RunningTold]:
    rows = RunningTold.objects.filter(fan__in=list(fan_ids)).order_by("received_at", "pk")
    return {row.fan_id: row for row in rows}.values()


def _not_looked_since(words: Sequence[RunningTold]) -> Mapping[int, RunningTold]:
    if not words:
        return {}
    checks = Check.objects.filter(
        fan__in=[row.fan_id for row in words], visit__superseded_by__isnull=True
    )
    looked = dict(checks.order_by().values_list("fan").annotate(Max("began_at")))
    return {
        row.fan_id: row
        for row in words
        if row.fan_id not in looked or looked[row.fan_id] <= row.received_at
    }
