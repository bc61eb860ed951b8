"""In which order the queue of a phone is logged that had no signal for days."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import UTC, date, datetime, time
from typing import Any
from uuid import UUID

from visits.payload import Entry, EventEntry, PayloadError, VisitEntry, read_record
from visits.payload.complaints import Complaints
from visits.payload.entries import AnswerEntry, ClosingEntry
from visits.payload.moments import Moment

LAST = datetime.max.replace(tzinfo=UTC)


def in_order(payloads: Sequence[Any]) -> Iterator[int]:
    """Places of the payloads by when things happened, none before what it names.

    A correction names the record it replaces, an answer the advice it is to, a closing its
    finding; these two come after all that happened.  Whatever cannot be read comes last and is
    complained of when its turn comes.
    """
    entries = [_entry(payload) for payload in payloads]
    bringers = {id_: place for place, each in enumerate(entries) for id_ in _brought(each)}
    needs = [{bringers[id_] for id_ in _named(each) if id_ in bringers} for each in entries]
    waiting = sorted(range(len(entries)), key=lambda place: _happened(entries[place]))
    while waiting:
        ready = [place for place in waiting if not needs[place] & ({*waiting} - {place})]
        yield from ready or waiting  # records that name each other in a circle
        waiting = [place for place in waiting if place not in ready] if ready else []


def _entry(payload: Any) -> Entry | None:
    try:
        return read_record(payload, noted=Complaints(most=0))
    except PayloadError:
        return None


def _brought(entry: Entry | None) -> Iterator[UUID]:
    """Ids that an entry brings and other entries may name."""
    if entry is not None:
        yield entry.id
    if isinstance(entry, VisitEntry):
        yield from (advice.id for advice in entry.recommendations if advice.id)
        yield from (finding.id for finding in entry.findings if finding.id)


def _named(entry: Entry | None) -> Iterator[UUID]:
    if isinstance(entry, VisitEntry | EventEntry) and entry.supersedes:
        yield entry.supersedes
    if isinstance(entry, VisitEntry):
        yield from (told.recommendation for told in entry.decisions if told.recommendation)
    if isinstance(entry, AnswerEntry) and entry.decision.recommendation:
        yield entry.decision.recommendation
    if isinstance(entry, ClosingEntry):
        yield entry.finding


def _happened(entry: Entry | None) -> datetime:
    """Roughly when: a clock without an offset is taken for UTC, since near is near enough."""
    match entry:
        case VisitEntry():
            return _instant(entry.began)
        case EventEntry():
            return _instant(entry.started)
        case _:
            return LAST


def _instant(moment: Moment) -> datetime:
    written: date = moment.written
    if not isinstance(written, datetime):
        return datetime.combine(written, time(), UTC)
    return written if written.tzinfo else written.replace(tzinfo=UTC)
