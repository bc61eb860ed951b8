"""What became of a file of records: what is wrong with it, line by line, or what it added."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from visits.payload import Complaint

MOST_KEPT = 1_000


@dataclass(frozen=True, slots=True)
class LineComplaint:
    """One thing wrong; ``line`` counts from 1 as editors do, 0 is the whole file.

    ``column`` is the heading in a table; JSON lines have the pointer within their complaint.
    """

    line: int
    complaint: Complaint
    column: str = ""

    def __str__(self) -> str:
        line = f"line {self.line}" if self.line else "the file"
        return f"{line}{f', {self.column}' if self.column else ''}: {self.complaint}"


@dataclass(frozen=True, slots=True)
class VisitImportReport:
    """The outcome of one import; ``complaint_count`` may exceed the complaints kept.

    ``added`` counts new records by type.  ``fan_ids`` are all fans whose dates may have changed;
    empty in a dry run.
    """

    file: str
    dry_run: bool
    records: int = 0
    added: Mapping[str, int] = field(default_factory=dict)
    repeated: int = 0
    complaints: tuple[LineComplaint, ...] = ()
    complaint_count: int = 0
    fan_ids: tuple[int, ...] = ()

    @property
    def refused(self) -> bool:
        """Whether anything is wrong; then nothing was stored."""
        return self.complaint_count > 0

    @property
    def changes_nothing(self) -> bool:
        """Whether all of the file was on record already."""
        return not self.refused and not self.added
