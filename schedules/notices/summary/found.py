"""Stops and acts that looks of a span found and the looks before did not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Q, QuerySet

from fleet.models import Fan
from fleet.quantities import VERDICT_ORDER
from schedules.engine.codes import ACT
from visits.models import Check, Finding, Visit


@dataclass(frozen=True)
class NewFinding:
    """A subject of a fan that came to act or stop."""

    fan: Fan
    subject: str
    verdict: str
    on: date


def new_findings(visits: QuerySet[Visit], first: date) -> Sequence[NewFinding]:
    """The worst of each subject in these visits, where no look before ``first`` had it; by verdict.

    What people wrote down counts as what was read.
    """
    seen: dict[tuple[int, str], tuple[str, date]] = {}
    for fan, subject, verdict, on in (*_judged(visits), *_noted(visits)):
        worst = seen.get((fan, subject), ("within", on))[0]
        if VERDICT_ORDER[verdict] >= ACT and VERDICT_ORDER[verdict] > VERDICT_ORDER[worst]:
            seen[fan, subject] = verdict, on
    before = _before({fan for fan, _ in seen}, first)
    new = {
        key: told
        for key, told in seen.items()
        if VERDICT_ORDER[before.get(key, "within")] < VERDICT_ORDER[told[0]]
    }
    fans = Fan.objects.select_related("site").in_bulk({fan for fan, _ in new})
    told = (NewFinding(fans[fan], subject, *what) for (fan, subject), what in new.items())
    return sorted(told, key=lambda each: (-VERDICT_ORDER[each.verdict], each.on, each.fan.pk))


def _judged(visits: QuerySet[Visit]) -> list[tuple[int, str, str, date]]:
    rows = Check.objects.filter(visit__in=visits, stage="as_found")
    return [
        (fan, subject, verdict, on)
        for fan, judged, on in rows.values_list("fan", "judged", "visit__local_on")
        for subject, verdict in judged.items()
        if verdict in VERDICT_ORDER
    ]


def _noted(visits: QuerySet[Visit]) -> list[tuple[int, str, str, date]]:
    rows = Finding.objects.filter(visit__in=visits).exclude(verdict="watch")
    return list(rows.values_list("fan", "subject", "verdict", "visit__local_on"))


def _before(fans: set[int], first: date) -> dict[tuple[int, str], str]:
    """The last verdict of every subject of these fans before a day, read or written down."""
    older = Q(fan__in=fans, visit__local_on__lt=first, visit__superseded_by=None)
    found: dict[tuple[int, str], str] = {}
    notes = Finding.objects.filter(older, closings=None).order_by("visit__began_at")
    for fan, subject, verdict in notes.values_list("fan", "subject", "verdict"):
        found[fan, subject] = verdict
    checks = Check.objects.filter(older).order_by("began_at", "pk").values_list("fan", "judged")
    for fan, judged in checks:
        found |= {(fan, subject): said for subject, said in judged.items() if said in VERDICT_ORDER}
    return found
