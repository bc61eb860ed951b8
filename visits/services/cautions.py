"""What somebody should be told about how a visit was made, by code and with what was sent."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import timedelta
from typing import Any, NamedTuple

from fleet.failure_terms import LISTED, is_listed
from fleet.models import Person
from fleet.quantities import QUANTITIES
from visits.models import Decision, SystemInspection, Visit
from visits.services.long_ago import LONG_AGO
from visits.services.rows import NewCheck

FOUND_WITHIN = timedelta(days=366)
"""A failure is found within a year, or its day was mistyped; our choice."""


class Caution(NamedTuple):
    """A code of ``visits.wording.CAUTIONS``, and the fields it is about, each with its value."""

    code: str
    sent: tuple[tuple[str, str], ...] = ()


def cautions_of(
    visit: Visit,
    checks: Sequence[NewCheck],
    inspections: Iterable[SystemInspection],
    fan_ids: Iterable[int],
    by: Person | None = None,
    findings: Iterable[Any] = (),
    beltless: tuple[tuple[str, str], ...] = (),
) -> tuple[Caution, ...]:
    """Cautions in the order in which they are told; ``checks`` come with their judgements.

    ``fan_ids`` is empty where the visit touches no fan.  Whoever was there counts, not who typed
    it; ``by`` spares the question who that was.  ``findings`` are rows or entries of them.
    ``beltless`` is what was told of belts of fans that have none by the register.
    """
    return (
        *(() if fan_ids else (Caution("no_fan_told_of"),)),
        *_of_day(visit),
        *_of_stage(checks),
        *_of_person(visit),
        *_of_inspections(visit, inspections, by),
        *_of_live_readings(visit, checks, by),
        *_of_findings(visit, findings),
        *((Caution("part_not_on_machine", beltless),) if beltless else ()),
        *_of_correction(visit),
    )


def _of_stage(checks: Sequence[NewCheck]) -> Iterator[Caution]:
    """As-left readings date nothing, which is easily overlooked where they are bad."""
    verdicts = {
        judged.verdict
        for check in checks
        if check.row.stage == "as_left"
        for judged in check.judgements
    }
    if "stop" in verdicts:
        yield Caution("left_at_stop")
    elif "act" in verdicts:
        yield Caution("left_at_act")


def _of_day(visit: Visit) -> Iterator[Caution]:
    """A mistyped year would have everything since count as watched."""
    if visit.received_at.date() - visit.local_on > LONG_AGO:
        yield Caution("visit_long_ago", (("began_at", f"{visit.local_on}"),))


def _of_person(visit: Visit) -> Iterator[Caution]:
    if visit.here and visit.technician_name and visit.technician_id is None:
        yield Caution("technician_unknown", (("technician", visit.technician_name),))


def _of_inspections(
    visit: Visit, inspections: Iterable[SystemInspection], by: Person | None
) -> Iterator[Caution]:
    """Why an inspection leaves its day where it was."""
    if not any(not inspection.qualified for inspection in inspections):
        return
    who, sender = _who(visit, by), by or visit.recorded_by
    qualified = who and who.qualified_code_inspection
    for_another = sender and not sender.plans and sender.pk != visit.technician_id
    code = "inspector_not_sender" if qualified and for_another else "inspector_unqualified"
    yield Caution(code)


def _of_live_readings(
    visit: Visit, checks: Sequence[NewCheck], by: Person | None
) -> Iterator[Caution]:
    """Live readings are for people recorded as qualified for energised work."""
    if not any(QUANTITIES[name].live for check in checks for name in check.row.typed):
        return
    who = _who(visit, by)
    if who is None and not visit.technician_name:
        return  # an old record that names nobody
    if not (who and who.qualified_energised_work):
        yield Caution("live_readings_unqualified")


def _of_findings(visit: Visit, findings: Iterable[Any]) -> Iterator[Caution]:
    """Terms that are on no list are kept, and counted with nothing.

    A mistyped year of a failure would pass for years in which nothing else failed.
    """
    findings = tuple(findings)
    days = {each.failed_on for each in findings if each.failed_on}
    if doubtful := [d for d in days if not timedelta(0) <= visit.local_on - d <= FOUND_WITHIN]:
        sent = tuple(("failed_on", f"{day}") for day in sorted(doubtful))
        yield Caution("failure_day_doubtful", sent)
    told = [(name, getattr(each, name)) for each in findings for name in LISTED]
    if unlisted := [(name, text) for name, text in told if not is_listed(name, text)]:
        yield Caution("failure_terms_unlisted", tuple(dict.fromkeys(unlisted)))


def _of_correction(visit: Visit) -> Iterator[Caution]:
    """An answer from elsewhere to advice that a correction has dropped answers nothing any more."""
    old = visit.supersedes_id
    if old is None:
        return
    answers = Decision.objects.filter(recommendation__visit=old)
    if answers.exclude(visit=old).exists():
        yield Caution("answered_advice_dropped")


def _who(visit: Visit, by: Person | None) -> Any:
    return by if by and by.pk == visit.technician_id else visit.technician
