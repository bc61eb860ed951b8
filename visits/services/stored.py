"""What the tables already hold under the ids a batch of records brings or names."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from django.db.models import Q

from fleet.models import Person
from visits.models import Closing, Decision, Event, Finding, Recommendation, Visit
from visits.payload.entries import AnswerEntry, ClosingEntry, Entry, EventEntry, VisitEntry
from visits.payload.record import part_id

CHUNK = 500
VISIT_COLUMNS = tuple(field.attname for field in Visit._meta.concrete_fields)
KNOWN_COLUMNS = ("id", "visit_id", "fan_id", "fan__site_id", "subject", "visit__superseded_by")


@dataclass(slots=True)
class Known:
    """A finding or recommendation on record, or about to be; and what corrected its visit.

    ``closing`` is looked up of findings that somebody is about to close.
    """

    visit_id: UUID
    fan_id: int
    site_id: int
    subject: str
    corrected_by: UUID | None = None
    closing: Closing | None = None


@dataclass(slots=True)
class Stored:
    """Rows by id; ``superseded`` are ids that a correction has already replaced."""

    visits: dict[UUID, Visit] = field(default_factory=dict)
    events: dict[UUID, Event] = field(default_factory=dict)
    decisions: dict[UUID, Decision] = field(default_factory=dict)
    closings: dict[UUID, Closing] = field(default_factory=dict)
    superseded: set[UUID] = field(default_factory=set)
    findings: dict[UUID, Known] = field(default_factory=dict)
    recommendations: dict[UUID, Known] = field(default_factory=dict)

    def row(self, entry: Entry) -> Any:
        """The row stored under the entry's id, or None."""
        return self._rows(entry).get(entry.id)

    def _rows(self, entry: Entry) -> dict[UUID, Any]:
        match entry:
            case VisitEntry():
                return self.visits
            case EventEntry():
                return self.events
            case AnswerEntry():
                return self.decisions
            case ClosingEntry():
                return self.closings


def stored_visits(given: Mapping[str, Any]) -> Any:
    """What a question asks of visits: those of ``visits`` and those that correct ``corrected``."""
    wanted = Q(pk__among=given["visits"]) | Q(supersedes__among=given["corrected"])
    return Visit.objects.order_by().filter(wanted).values(*VISIT_COLUMNS)


def asked_visits(entries: Iterable[Entry]) -> dict[str, list[UUID]]:
    """How a question is told of these entries."""
    visits = [entry for entry in entries if isinstance(entry, VisitEntry)]
    old = [entry.supersedes for entry in visits if entry.supersedes]
    return {"visits": [*(entry.id for entry in visits), *old], "corrected": old}


def load_records(entries: Collection[Entry], visits: Iterable[Mapping[str, Any]]) -> Stored:
    """Visits, events, decisions and closings under the ids given or superseded.

    ``visits`` are the rows that ``stored_visits`` found.
    """
    stored = Stored()
    told = [entry for entry in entries if isinstance(entry, VisitEntry)]
    events = [entry for entry in entries if isinstance(entry, EventEntry)]
    _keep(stored, stored.visits, map(_visit, visits))
    _keep(stored, stored.events, _superseding(events))
    answers = [entry.id for entry in entries if isinstance(entry, AnswerEntry)]
    answers += [id_ for visit in told for id_ in _given_decisions(visit)]
    closings = [entry.id for entry in entries if isinstance(entry, ClosingEntry)]
    stored.decisions.update(_by_id(Decision, answers))
    stored.closings.update(_by_id(Closing, closings))
    return stored


def _visit(row: Mapping[str, Any]) -> Visit:
    return Visit.from_db(None, VISIT_COLUMNS, [row[name] for name in VISIT_COLUMNS])


def _keep(stored: Stored, found: dict[UUID, Any], rows: Iterable[Any]) -> None:
    for row in rows:
        found[row.pk] = row
        if row.supersedes_id:
            stored.superseded.add(row.supersedes_id)


def _given_decisions(visit: VisitEntry) -> Iterable[UUID]:
    nested = (advice.decision for advice in visit.recommendations)
    told = (decision for decision in (*visit.decisions, *nested) if decision)
    return (decision.id for decision in told if decision.id)


def _superseding(entries: Iterable[EventEntry]) -> Iterable[Event]:
    """Rows under these ids, rows they supersede, and rows that superseded those already."""
    old = [entry.supersedes for entry in entries if entry.supersedes]
    for ids in chunked([*(entry.id for entry in entries), *old]):
        yield from Event.objects.filter(pk__in=ids)
    for ids in chunked(old):
        yield from Event.objects.filter(supersedes__in=ids)


def _by_id(model: Any, ids: Collection[UUID]) -> dict[UUID, Any]:
    return {row.pk: row for part in chunked(ids) for row in model.objects.filter(pk__in=part)}


def load_references(stored: Stored, entries: Collection[Entry], by: Person | None) -> None:
    """Findings and recommendations that the entries bring, name or carry over."""
    findings: set[UUID | None] = set()
    recommendations: set[UUID | None] = set()
    for entry in entries:
        match entry:
            case VisitEntry():
                findings.update(f.id for f in entry.findings if f.id)
                recommendations.update(r.id for r in entry.recommendations if r.id)
                recommendations.update(d.recommendation for d in entry.decisions)
            case AnswerEntry():
                recommendations.add(entry.decision.recommendation)
            case ClosingEntry():
                findings.add(entry.finding)
            case EventEntry():
                pass
    corrected = [e.supersedes for e in entries if isinstance(e, VisitEntry) and e.supersedes]
    for model, found, ids in (
        (Finding, stored.findings, [id_ for id_ in findings if id_]),
        (Recommendation, stored.recommendations, [id_ for id_ in recommendations if id_]),
    ):
        if not (corrected or ids):
            continue
        rows = _visible(model, by)
        if corrected:
            _take(found, rows, "visit", corrected)
        _take(found, rows, "pk", ids)
        _follow(found, rows)
    _take_closings(stored.findings, [e.finding for e in entries if isinstance(e, ClosingEntry)])


def _take_closings(found: dict[UUID, Known], named: Iterable[UUID]) -> None:
    """How these findings were closed already, the first time; held until nobody else can."""
    ids = sorted({newest(found, id_) for id_ in named} & set(found))
    for part in chunked(ids):
        findings = Finding.objects.filter(pk__in=part).order_by("pk")
        list(findings.select_for_update(no_key=True).values_list("pk"))
        closings = Closing.objects.filter(finding__in=part).select_related("closed_by")
        for closing in closings.order_by("-closed_on", "-id"):
            found[closing.finding_id].closing = closing


def _visible(model: Any, by: Person | None) -> Any:
    rows = model.objects.values_list(*KNOWN_COLUMNS)
    if by is not None and not by.works_here:
        rows = rows.filter(fan__site__owner=by.owner_id)
    return rows


def _take(found: dict[UUID, Known], rows: Any, key: str, ids: Collection[UUID]) -> None:
    for part in chunked(ids):
        for row in rows.filter(**{f"{key}__in": part}):
            found[row[0]] = Known(*row[1:])


def _follow(found: dict[UUID, Known], rows: Any) -> None:
    """Add what corrections have carried on, however often corrected."""
    missing = _carried_on(found)
    while missing:
        before = len(found)
        _take(found, rows, "pk", missing)
        missing = _carried_on(found) if len(found) > before else set()


def _carried_on(found: dict[UUID, Known]) -> set[UUID]:
    ids = {part_id(row.corrected_by, str(id_)) for id_, row in found.items() if row.corrected_by}
    return ids - set(found)


def newest(found: dict[UUID, Known], id_: UUID) -> UUID:
    """The id under which corrections have carried a finding or recommendation on."""
    known = found.get(id_)
    while known is not None and known.corrected_by:
        carried = part_id(known.corrected_by, str(id_))
        if carried not in found:
            break
        id_, known = carried, found[carried]
    return id_


def chunked(ids: Collection[Any], size: int = CHUNK) -> Iterable[list[Any]]:
    """The ids in lists that fit into one statement."""
    ordered = list(ids)
    return (ordered[start : start + size] for start in range(0, len(ordered), size))
