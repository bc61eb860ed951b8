"""Fans just found at a stop or with a critical fault that still stands, and since which day."""

from __future__ import annotations

import logging
from collections import defaultdict
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Q

from schedules.due.records import records_in
from schedules.due.truth import read_truth
from schedules.engine.codes import STOP
from schedules.engine.findings import Finding as Standing
from schedules.engine.findings import Findings, follow
from schedules.engine.record import FanRecord
from schedules.notices.clocks import Clocks
from visits.models import Check, Finding, Visit

log = logging.getLogger(__name__)
RECENT = timedelta(days=3)
"""What came in longer ago was told, or nothing ran so long that lists must be read anyway."""
FRESH = timedelta(days=7)
"""A visit entered later than this stands first in the weekly letter instead; our choice."""
CRITICAL = Finding.Severity.CRITICAL


@dataclass(frozen=True)
class Alarm:
    """One fan and what is wrong with it since ``since``; ``visit`` is the last that found it."""

    fan_id: int
    since: date
    visit: Visit
    subjects: frozenset[str]
    is_stop: bool

    @property
    def period(self) -> str:
        """One occurrence: the same fault found again on a later visit is not told again."""
        kind = "stop" if self.is_stop else "critical"
        return f"fan-{self.fan_id}.{self.since.isoformat()}.{kind}"


def alarms_at(clocks: Clocks) -> list[Alarm]:
    """Alarms of visits made by us that came in lately; what was put right meanwhile is none.

    What stands is the engine's answer, the one that dates rest on: a repair, a look that found it
    better, as left too, or a closing ends it; one repaired for the time being runs again.
    """
    visits = _visits_by_fan(clocks)
    if not visits:
        return []
    critical = _critical_of(visits)
    found = []
    for fan, build in records_in(read_truth(sorted(visits))):
        fan_id = fan["id"]
        for since, is_stop, subjects in _occurrences(fan_id, build, critical[fan_id]):
            found.append(Alarm(fan_id, since, visits[fan_id], subjects, is_stop))
    return found


def _visits_by_fan(clocks: Clocks) -> Mapping[int, Visit]:
    """The last of those visits that found a stop or something critical, by fan."""
    recent = Visit.objects.standing().filter(
        here=True, received_at__gt=clocks.now - RECENT, began_at__gt=clocks.now - FRESH
    )
    waiting = clocks.onboarding()
    checks = Check.objects.filter(visit__in=recent, stage="as_found").exclude(fan__in=waiting)
    judged = checks.values_list("fan", "visit", "judged")
    stopped = [(fan, visit) for fan, visit, told in judged if "stop" in told.values()]
    noted = Finding.objects.filter(Q(verdict="stop") | Q(severity=CRITICAL), visit__in=recent)
    stopped += noted.exclude(fan__in=waiting).values_list("fan", "visit")
    visits = Visit.objects.select_related("technician").in_bulk({visit for _, visit in stopped})
    by_time = sorted(stopped, key=lambda told: visits[told[1]].began_at)
    return {fan: visits[visit] for fan, visit in by_time}


def _critical_of(fan_ids: Collection[int]) -> Mapping[int, Mapping[str, list[date]]]:
    """By fan and subject, the days on which somebody rated a fault critical."""
    found: dict[int, dict[str, list[date]]] = defaultdict(lambda: defaultdict(list))
    rows = Finding.objects.filter(
        fan__in=fan_ids, severity=CRITICAL, visit__superseded_by__isnull=True
    )
    told = rows.order_by("visit__began_at").values_list("fan", "subject", "item", "visit__local_on")
    for fan_id, subject, item, day in told:
        found[fan_id][subject or item].append(day)
    return found


def _occurrences(
    fan_id: int, build: Callable[[], FanRecord], critical: Mapping[str, list[date]]
) -> list[tuple[date, bool, frozenset[str]]]:
    """Day since when, whether a stop, and subjects, of what stands on one fan."""
    try:
        at_stop, at_fault = _standing_since(build())
    except (ValueError, TypeError, AttributeError, ArithmeticError, LookupError):
        # such a record cannot be reckoned either, which its line says
        log.exception("what stands at fan %s cannot be read", fan_id)
        return []
    told: dict[tuple[date, bool], set[str]] = defaultdict(set)
    for subject, since in at_stop.items():
        told[since, True].add(subject)
    for subject, days in critical.items():
        since = at_fault.get(subject, date.max)
        rated = [day for day in days if day >= since]
        if rated and subject not in at_stop:
            told[rated[0], False].add(subject)
    return [(since, is_stop, frozenset(names)) for (since, is_stop), names in told.items()]


def _standing_since(record: FanRecord) -> tuple[dict[str, date], dict[str, date]]:
    """By subject, since when without a break it is at a stop, and at any fault."""
    findings = Findings()
    at_stop: dict[str, date] = {}
    at_fault: dict[str, date] = {}
    for _ in follow(record, findings):
        standing = {each.subject: each for each in findings.standing if not each.temporary_day}
        _keep(at_stop, {name: each for name, each in standing.items() if each.verdict == STOP})
        _keep(at_fault, standing)
    return at_stop, at_fault


def _keep(since: dict[str, date], standing: Mapping[str, Standing]) -> None:
    for name in [name for name in since if name not in standing]:
        del since[name]
    for name, each in standing.items():
        since.setdefault(name, date.fromordinal(each.seen_day))
