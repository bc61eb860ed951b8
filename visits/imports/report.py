"""What became of a file of records: what is wrong with it, line by line, or what it added."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from fleet.imports.complaints import rows_text
from visits.payload import Complaint
from visits.payload.complaints import Listed

MOST_KEPT = 10_000


@dataclass(frozen=True, slots=True)
class LineComplaint:
    """One thing wrong; ``line`` counts from 1 as editors do, 0 is the whole file.

    ``column`` is the heading in a table; JSON lines have the pointer within their complaint.
    ``others`` are further lines where the very same is wrong.
    """

    line: int
    complaint: Complaint
    column: str = ""
    others: tuple[int, ...] = ()

    @property
    def lines(self) -> str:
        """All its lines: ``2``, ``2, 5-9``."""
        return rows_text((self.line, *self.others)) if self.line else ""

    def __str__(self) -> str:
        word = ("row" if self.column else "line") + ("s" if self.others else "")
        line = f"{word} {self.lines}" if self.line else "the file"
        return f"{line}{f', {self.column}' if self.column else ''}: {self.complaint}"


def drawn_together(complaints: Iterable[LineComplaint]) -> list[LineComplaint]:
    """Each different complaint once, in order of lines, with all the lines it holds for."""
    lines: dict[tuple[str, Complaint], list[int]] = {}
    for said in sorted(complaints, key=lambda said: said.line):
        lines.setdefault((said.column, said.complaint), []).extend((said.line, *said.others))
    return [
        LineComplaint(first, complaint, column, tuple(others))
        for (column, complaint), (first, *others) in (
            (key, sorted(set(told))) for key, told in lines.items()
        )
    ]


@dataclass(frozen=True, slots=True)
class VisitImportReport:
    """The outcome of one import; ``complaint_count`` may exceed the complaints kept.

    ``added`` counts new records by type.  ``notes`` say what was read with some doubt or left out.
    ``fan_ids`` are all fans whose dates may have changed; empty in a dry run.
    """

    file: str
    dry_run: bool
    records: int = 0
    added: Mapping[str, int] = field(default_factory=dict)
    repeated: int = 0
    complaints: tuple[LineComplaint, ...] = ()
    complaint_count: int = 0
    notes: tuple[str, ...] = ()
    fan_ids: tuple[int, ...] = ()

    @property
    def refused(self) -> bool:
        """Whether anything is wrong; then nothing was stored."""
        return self.complaint_count > 0

    @property
    def changes_nothing(self) -> bool:
        """Whether all of the file was on record already."""
        return not self.refused and not self.added

    def told_at(self, lists: Mapping[Listed, str]) -> VisitImportReport:
        """The same for the users of one doorway, as ``Complaint.told_at`` says it."""
        told = (replace(said, complaint=said.complaint.told_at(lists)) for said in self.complaints)
        return replace(self, complaints=tuple(told))
