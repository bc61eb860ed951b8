"""What the import page shows of a report: complaints and changes as rows, counts in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.imports.complaints import Complaint, rows_text
from fleet.imports.plan import Change
from fleet.imports.report import ImportReport
from fleet.wording import added_words, complaint_words, new_names, note_sentences, seen_words
from schedules.rounds.ways.importing import TravelReport
from schedules.rounds.ways.telling import report_texts
from visits.imports.report import LineComplaint, VisitImportReport
from visits.payload.complaints import Listed

Report = ImportReport | VisitImportReport | TravelReport
CHANGES_AT_MOST = 10_000
WAYS_SHOWN = 3

RECORDS: dict[str, tuple[str, str]] = {
    "ways": ("way", "ways"),
    "visit": ("visit", "visits"), "event": ("event", "events"),
    "decision": ("owner's answer", "owner's answers"),
    "closing": ("closed finding", "closed findings"),
}  # fmt: skip


@dataclass(frozen=True)
class ComplaintRow:
    """One thing to put right: where, what was seen there, what is wrong, what to do."""

    row: str
    column: str
    seen: str
    problem: str
    remedy: str


@dataclass(frozen=True)
class Told:
    """A report ready for the page; ``token`` confirms it where there is something to store."""

    report: Report
    token: str = ""
    complaints: list[ComplaintRow] = field(default_factory=list)
    changes: Sequence[Change] = ()
    notes: list[str] = field(default_factory=list)

    @property
    def more_complaints(self) -> int:
        """Complaints beyond those shown."""
        return self.report.complaint_count - len(self.complaints)

    @property
    def more_changes(self) -> int:
        """Changes beyond those shown."""
        return len(_changes(self.report)) - len(self.changes)

    @property
    def new(self) -> list[str]:
        """The owners and sites that are new, by name; of ways, how all stand with the file."""
        if isinstance(self.report, TravelReport):
            return list(report_texts(self.report, WAYS_SHOWN))
        return new_names(self.report) if isinstance(self.report, ImportReport) else []

    @property
    def added(self) -> str:
        """New rows or records in words."""
        return _added(self.report)


def tell(report: Report, token: str = "") -> Told:
    """The report as the page shows it."""
    if isinstance(report, ImportReport | TravelReport):
        complaints = [_of_fleet(said) for said in report.complaints]
        notes = note_sentences(report.notes)
    else:
        here: Mapping[Listed, str] = {"words": _("all listed below, under Old visits: names")}
        complaints = [_of_visits(said) for said in report.told_at(here).complaints]
        notes = list(report.notes)
    return Told(report, token, complaints, _changes(report)[:CHANGES_AT_MOST], notes)


def stored_words(report: Report) -> str:
    """What a confirmed import did."""
    if report.changes_nothing:
        return _("All of %(file)s was on record already; nothing changed.") % {"file": report.file}
    parts, changed = [], len(_changes(report))
    if isinstance(report, TravelReport):
        changed = report.changed
    if report.added:
        parts.append(_("added %(what)s") % {"what": _added(report)})
    if changed:
        count = ngettext("%(count)d value", "%(count)d values", changed) % {"count": changed}
        parts.append(_("changed %(count)s") % {"count": count})
    return _("%(file)s is stored: %(told)s.") % {"file": report.file, "told": "; ".join(parts)}


def _of_fleet(said: Complaint) -> ComplaintRow:
    problem, remedy = complaint_words(said)
    row = rows_text(said.rows) or _("all")
    return ComplaintRow(row, said.column, seen_words(said), problem, remedy)


def _of_visits(said: LineComplaint) -> ComplaintRow:
    told = said.complaint
    return ComplaintRow(
        said.lines or _("all"), said.column or told.pointer, told.seen, told.problem, told.remedy
    )


def _changes(report: Report) -> Sequence[Change]:
    return report.changes if isinstance(report, ImportReport) else ()


def _added(report: Report) -> str:
    if isinstance(report, ImportReport):
        return added_words(report.added)
    counted = ((RECORDS[name], count) for name, count in report.added.items())
    return ", ".join(f"{count} {ngettext(*words, count)}" for words, count in counted)
