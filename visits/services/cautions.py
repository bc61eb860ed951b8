"""Codes of what somebody should be told about how a visit was made."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import timedelta
from typing import Any

from fleet.failure_terms import LISTED, is_listed
from fleet.models import Person
from fleet.quantities import QUANTITIES
from visits.models import Decision, SystemInspection, Visit
from visits.services.rows import NewCheck

FOUND_WITHIN = timedelta(days=366)
"""A failure is found within a year, or its day was mistyped; our choice."""


def cautions_of(
    visit: Visit,
    checks: Sequence[NewCheck],
    inspections: Iterable[SystemInspection],
    fan_ids: Iterable[int],
    by: Person | None = None,
    findings: Iterable[Any] = (),
) -> tuple[str, ...]:
    """Codes in the order in which they are told; ``checks`` come with their judgements.

    ``fan_ids`` is empty where the visit touches no fan.  Whoever was there counts, not who typed
    it; ``by`` spares the question who that was.  ``findings`` are rows or entries of them.
    """
    return (
        *(() if fan_ids else ("no_fan_told_of",)),
        *_of_stage(checks),
        *_of_person(visit),
        *_of_inspections(visit, inspections, by),
        *_of_live_readings(visit, checks, by),
        *_of_findings(visit, findings),
        *_of_correction(visit),
    )


def _of_stage(checks: Sequence[NewCheck]) -> Iterator[str]:
    """As-left readings date nothing, which is easily overlooked where they are bad."""
    verdicts = {
        judged.verdict
        for check in checks
        if check.row.stage == "as_left"
        for judged in check.judgements
    }
    if "stop" in verdicts:
        yield "left_at_stop"
    elif "act" in verdicts:
        yield "left_at_act"


def _of_person(visit: Visit) -> Iterator[str]:
    if visit.here and visit.technician_name and visit.technician_id is None:
        yield "technician_unknown"


def _of_inspections(
    visit: Visit, inspections: Iterable[SystemInspection], by: Person | None
) -> Iterator[str]:
    """Why an inspection leaves its day where it was."""
    if not any(not inspection.qualified for inspection in inspections):
        return
    who, sender = _who(visit, by), by or visit.recorded_by
    qualified = who and who.qualified_code_inspection
    for_another = sender and not sender.plans and sender.pk != visit.technician_id
    yield "inspector_not_sender" if qualified and for_another else "inspector_unqualified"


def _of_live_readings(visit: Visit, checks: Sequence[NewCheck], by: Person | None) -> Iterator[str]:
    """Live readings are for people recorded as qualified for energised work."""
    if not any(QUANTITIES[name].live for check in checks for name in check.row.typed):
        return
    who = _who(visit, by)
    if who is None and not visit.technician_name:
        return  # an old record that names nobody
    if not (who and who.qualified_energised_work):
        yield "live_readings_unqualified"


def _of_findings(visit: Visit, findings: Iterable[Any]) -> Iterator[str]:
    """Terms that are on no list are kept, and counted with nothing.

    A mistyped year of a failure would pass for years in which nothing else failed.
    """
    findings = tuple(findings)
    days = (visit.local_on - each.failed_on for each in findings if each.failed_on)
    if any(not timedelta(0) <= ago <= FOUND_WITHIN for ago in days):
        yield "failure_day_doubtful"
    if any(not is_listed(name, getattr(each, name)) for each in findings for name in LISTED):
        yield "failure_terms_unlisted"


def _of_correction(visit: Visit) -> Iterator[str]:
    """An answer from elsewhere to advice that a correction has dropped answers nothing any more."""
    old = visit.supersedes_id
    if old is None:
        return
    answers = Decision.objects.filter(recommendation__visit=old)
    if answers.exclude(visit=old).exists():
        yield "answered_advice_dropped"


def _who(visit: Visit, by: Person | None) -> Any:
    return by if by and by.pk == visit.technician_id else visit.technician
