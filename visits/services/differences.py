"""What a table of readings says of visits on record: the same again, or something else."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import isclose
from typing import Any
from uuid import UUID

from fleet.quantities import CONTEXT
from visits.models import Check, Visit
from visits.payload.complaints import Complaint, complaint
from visits.payload.entries import CheckEntry, Entry, VisitEntry
from visits.payload.names import SEEN_ITEMS
from visits.services.stored import chunked

REMEDY = "put the cell back, or correct the visit on record by a record that supersedes it"
_CONTEXT = {entry.name for entry in CONTEXT}


def compare_with_record(
    entries: Sequence[Entry],
) -> tuple[list[Entry], list[tuple[UUID, Complaint]]]:
    """The entries that are not on record, and where the others differ from what is.

    Holds for tables, whose visits are checks only; a blank cell leaves what is on record, and so
    does a row left out.
    """
    by_id = {entry.id: entry for entry in entries if isinstance(entry, VisitEntry)}
    known: set[UUID] = set()
    told: list[tuple[UUID, Complaint]] = []
    for ids in chunked(list(by_id)):
        rows = Visit.objects.filter(pk__in=ids).values_list("pk", "payload_sha256")
        known.update(id_ for id_, _ in rows)
        other = [id_ for id_, sha256 in rows if sha256 != by_id[id_].sha256]
        checks = _checks(other)
        for id_ in other:
            told.extend((id_, said) for said in _differences(by_id[id_], checks))
    return [entry for entry in entries if entry.id not in known], told


Stored = dict[tuple[UUID, str, str], Check]


def _checks(visits: Sequence[UUID]) -> Stored:
    rows = Check.objects.filter(visit__in=visits).select_related("fan")
    return {(row.visit_id, row.fan.tag.casefold(), row.stage): row for row in rows}


def _differences(visit: VisitEntry, stored: Stored) -> Iterator[Complaint]:
    for entry in visit.checks:
        row = stored.get((visit.id, entry.fan.casefold(), entry.stage))
        if row is None:
            yield complaint(
                f"{entry.pointer}/fan", "this visit is on record without this row", entry.fan,
                "take the row out, or correct the visit on record by a record that supersedes it",
            )  # fmt: skip
            continue
        for pointer, name, new in _told(entry):
            old = getattr(row, name)
            if not _same(old, new):
                problem = f"on record this is {_shown(row, name) or 'blank'}"
                yield complaint(f"{entry.pointer}/{pointer}", problem, new, REMEDY)


def _told(entry: CheckEntry) -> Iterable[tuple[str, str, Any]]:
    """What the row says: where in the record, which column of the table of checks, the value."""
    for name, value in entry.readings.columns.items():
        part = "seen" if name in SEEN_ITEMS else "context" if name in _CONTEXT else "readings"
        ends = ("_low_um", "_high_um") if name.startswith("grease_") else ()
        key = next((name.removesuffix(end) for end in ends if name.endswith(end)), name)
        yield f"{part}/{key}", name, value
    for name in ("switch_left", "notes"):
        if value := getattr(entry, name):
            yield name, name, value


def _same(old: Any, new: Any) -> bool:
    if isinstance(old, float) and isinstance(new, float):
        return isclose(old, new, rel_tol=1e-9)
    return bool(old == new)


def _shown(row: Check, name: str) -> str:
    """A value on record as it was written."""
    typed = row.typed.get(name)
    if typed:
        value = typed.get("value")
        words = (typed.get("qualifier", ""), "" if value is None else f"{value:g}")
        return " ".join(filter(None, (*words, typed.get("unit", ""))))
    value = getattr(row, name)
    return "" if value is None else str(value).replace("_", " ")
