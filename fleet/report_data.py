"""What became of a fleet file as plain data, for programs that read it."""

from __future__ import annotations

from typing import Any

from fleet.imports.complaints import Complaint
from fleet.imports.report import ImportReport
from fleet.wording import complaint_words, note_sentences


def report_data(report: ImportReport) -> dict[str, Any]:
    """The whole report as plain data, sentences included."""
    return {
        "file": report.file,
        "dry_run": report.dry_run,
        "refused": report.refused,
        "changes_nothing": report.changes_nothing,
        "fans_in_file": report.fans_in_file,
        "added": report.added,
        "new_owners": list(report.new_owners),
        "new_sites": list(report.new_sites),
        "changes": [
            {"row": c.row, "what": c.what, "column": c.column, "old": c.old, "new": c.new}
            for c in report.changes
        ],
        "complaint_count": report.complaint_count,
        "complaints": [_complaint_data(complaint) for complaint in report.complaints],
        "notes": note_sentences(report.notes),
        "onboarding": None if report.onboarding is None else {
            "fans": report.onboarding.fans,
            "first_on": report.onboarding.first_on.isoformat(),
            "last_on": report.onboarding.last_on.isoformat(),
        },
        "fans_touched": len(report.fan_ids),
    }  # fmt: skip


def _complaint_data(complaint: Complaint) -> dict[str, Any]:
    problem, remedy = complaint_words(complaint)
    return {
        "row": complaint.row, "rows": list(complaint.rows), "column": complaint.column,
        "seen": complaint.seen,
        "problem": problem, "remedy": remedy,
    }  # fmt: skip
