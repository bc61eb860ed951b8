"""Imports a file of old records: all of it or nothing, everything wrong told at once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from uuid import UUID

from django.db import transaction

from config.collisions import one_snapshot
from fleet.failure_terms import LISTED, is_listed
from fleet.models import Person
from visits.imports.json_lines import looks_like_json, read_json_lines
from visits.imports.parsed import Parsed
from visits.imports.readings_table import read_readings_table
from visits.imports.report import MOST_KEPT, LineComplaint, VisitImportReport, drawn_together
from visits.limits import DEFAULT_LIMITS, Limits
from visits.models import Visit
from visits.payload import AnswerEntry, ClosingEntry, Complaint, Entry, EventEntry, VisitEntry
from visits.services.batch import Outcome, may_swap, record_entries
from visits.services.differences import compare_with_record
from visits.services.long_ago import note_long_ago
from visits.services.twins import note_twins

_TYPE = {
    VisitEntry: "visit", EventEntry: "event", AnswerEntry: "decision", ClosingEntry: "closing",
}  # fmt: skip
TAKEN = Complaint(
    "/id",
    "other content is already on record under this id",
    "",
    "correct that record by one that supersedes it, or give this one a new id",
)


def read_visits(data: bytes) -> Parsed:
    """Read JSON lines or a table of readings (see ``visits.imports``) without the database.

    Never raises for what a file holds: its complaints say everything.
    """
    return read_json_lines(data) if looks_like_json(data) else read_readings_table(data)


def import_visits(
    *,
    file: Parsed,
    name: str,
    by: Person | None,
    now: datetime,
    here: bool = False,
    dry_run: bool = False,
    limits: Limits = DEFAULT_LIMITS,
) -> VisitImportReport:
    """Add the records of a file.

    One transaction; nothing is stored unless every record passes.  A ``dry_run`` stores nothing,
    and holds up nobody who writes unless a machine was replaced: what later checks then see has to
    be tried in the register.  A record already stored is counted as repeated and changes nothing.
    ``here`` says that these visits count as made under this schedule, not as records from before.
    """
    parsed = file
    only_read = dry_run or bool(parsed.complaints)
    tries = may_swap([*parsed.entries, *parsed.faulty])
    with one_snapshot() if only_read and not tries else transaction.atomic():
        entries, changed = (
            compare_with_record(parsed.entries) if parsed.is_table else (parsed.entries, [])
        )
        outcome = record_entries(
            entries, faulty=parsed.faulty, by=by, now=now, here=here, from_file=True,
            limits=limits, only_read=only_read or bool(changed),
        )  # fmt: skip
        complaints = [*parsed.complaints, *_placed(parsed, outcome, changed)]
        notes = [
            *parsed.notes, *_doubtful(parsed, outcome, now.date()), *_unlisted(parsed.entries),
            *_beltless(parsed, outcome),
        ]  # fmt: skip
    if not complaints and not parsed.entries:
        nothing = Complaint("", "there is no record in this file", "", "see the documented format")
        complaints = [LineComplaint(0, nothing)]
    if complaints:
        told = drawn_together(complaints)
        return VisitImportReport(
            name, dry_run, len(parsed.entries), complaints=tuple(told[:MOST_KEPT]),
            complaint_count=len(told), notes=tuple(notes),
        )  # fmt: skip
    return VisitImportReport(
        name,
        dry_run,
        len(parsed.entries),
        added=_added(parsed.entries, outcome),
        repeated=len(parsed.entries) - len(outcome.stored),
        notes=tuple(notes),
        fan_ids=() if dry_run else outcome.fan_ids,
    )


def _doubtful(parsed: Parsed, outcome: Outcome, today: date) -> Iterator[str]:
    """Visits that look like others, and those dated so long ago that it may be a slip."""
    new = [row for row in outcome.stored.values() if isinstance(row, Visit)]
    nowhere = Complaint("", "", "", "")

    def line_of(id_: UUID) -> int:
        return parsed.places[id_](nowhere).line

    yield from note_twins(new, line_of)
    yield from note_long_ago(new, line_of, today)


def _beltless(parsed: Parsed, outcome: Outcome) -> Iterator[str]:
    """Belts told of fans that have none by the register."""
    nowhere = Complaint("", "", "", "")
    for id_, sent in outcome.beltless.items():
        line = parsed.places[id_](nowhere).line
        told = ", ".join(f"{name} {value!r}" for name, value in sent)
        yield (
            f"line {line} ({told}): the register says that this fan is driven directly, without a "
            "belt; it is kept as written, so look which of the two is wrong"
        )


def _unlisted(entries: Iterable[Entry]) -> Iterator[str]:
    """Terms of findings that no count of failures knows, each once with how often it stands."""
    told = Counter(
        (name, text)
        for entry in entries
        if isinstance(entry, VisitEntry)
        for finding in entry.findings
        for name in LISTED
        if not is_listed(name, text := getattr(finding, name))
    )
    for (name, text), count in told.items():
        yield (
            f"{name} {text!r} ({count} times) is none of those offered; it is kept as written and "
            "counted with nothing"
        )


def _placed(
    parsed: Parsed, outcome: Outcome, changed: Sequence[tuple[UUID, Complaint]]
) -> list[LineComplaint]:
    """What looking up found wrong, except where the record itself already was."""
    said = [
        parsed.places[id_](complaint)
        for id_, complaint in (*outcome.complaints, *changed)
        if (id_, complaint.pointer) not in parsed.told
    ]
    return said + [parsed.places[id_](TAKEN) for id_ in outcome.conflicts]


def _added(entries: list[Entry], outcome: Outcome) -> dict[str, int]:
    new = {entry.id: _TYPE[type(entry)] for entry in entries if entry.id in outcome.stored}
    return dict(Counter(new.values()))
