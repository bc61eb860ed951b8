"""The register's codes as sentences: what is wrong with a file, seen where, and what to do."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.complaint_words import COMPLAINTS, NOTES
from fleet.imports.complaints import Complaint, rows_text
from fleet.imports.report import ImportReport

NAMES_LISTED = 20
MODEL_WORDS: Mapping[str, tuple[str, str]] = {
    "owner": ("owner", "owners"), "agreement": ("agreement", "agreements"),
    "site": ("site", "sites"), "exhaustsystem": ("exhaust system", "exhaust systems"),
    "cookingperiod": ("cooking class entry", "cooking class entries"),
    "operatingperiod": ("calendar of hours", "calendars of hours"),
    "closedday": ("closed day", "closed days"),
    "expectedcleaning": ("expected cleaning", "expected cleanings"),
    "fan": ("fan", "fans"), "machine": ("machine", "machines"), "feed": ("feed", "feeds"),
}  # fmt: skip


def complaint_words(complaint: Complaint) -> tuple[str, str]:
    """What is wrong, and what to do about it."""
    problem, remedy = COMPLAINTS[complaint.code]
    return str(problem) % complaint.args, str(remedy) % complaint.args


def place_words(complaint: Complaint) -> str:
    """Where: row and column as the spreadsheet shows them."""
    told = {"rows": rows_text(complaint.rows)}
    row = (
        ngettext("row %(rows)s", "rows %(rows)s", len(complaint.rows)) % told
        if told["rows"]
        else ""
    )
    return ", ".join(part for part in (row, complaint.column) if part)


def complaint_sentence(complaint: Complaint) -> str:
    """Where, what was seen, what is wrong and what to do, in one line."""
    problem, remedy = complaint_words(complaint)
    quoted = replace(complaint, seen=f"“{complaint.seen}”")
    seen = f" {seen_words(quoted)}" if complaint.seen else ""
    where = f"{place_words(complaint)}{seen}"
    told = f"{problem}; {remedy}" if remedy else problem
    return f"{where}: {told}" if where else told


def seen_words(complaint: Complaint) -> str:
    """The value seen, said to be one of several where it is."""
    example = complaint.seen and complaint.is_example
    return str(_("for example %(seen)s")) % {"seen": complaint.seen} if example else complaint.seen


def note_sentences(notes: Iterable[Complaint]) -> list[str]:
    """Notes in words; equal ones of many rows are told once with how often they occur."""
    grouped: dict[tuple[str, str, str], list[Complaint]] = {}
    for note in notes:
        told = str(NOTES[note.code]) % note.args
        # a note that shows no cell is the same in every row
        grouped.setdefault((note.column, told, note.seen), []).append(note)
    return [_note_line(key, rows) for key, rows in grouped.items()]


def _note_line(key: tuple[str, str, str], notes: list[Complaint]) -> str:
    column, told, seen = key
    where = place_words(notes[0]) if len(notes) == 1 else column
    shown = f" “{seen}”" if seen else ""
    more = ngettext("", " (%(count)s rows)", len(notes)) % {"count": len(notes)}
    place = f"{where}{shown}".strip()
    return f"{place}: {told}{more}" if place else f"{told}{more}"


def new_names(report: ImportReport) -> list[str]:
    """The owners and sites that are new, by name, a line for each kind."""
    told = (
        (_("New owner: %(names)s"), _("New owners: %(names)s"), report.new_owners),
        (_("New site: %(names)s"), _("New sites: %(names)s"), report.new_sites),
    )
    lines = []
    for one, several, names in told:
        listed = ", ".join(names[:NAMES_LISTED])
        if len(names) > NAMES_LISTED:
            listed = _("%(names)s and %(count)s more") % {
                "names": listed, "count": len(names) - NAMES_LISTED,
            }  # fmt: skip
        if names:
            lines.append((one if len(names) == 1 else several) % {"names": listed} + ".")
    return lines


def added_words(added: Mapping[str, int]) -> str:
    """New rows counted in words, from owners down to feeds."""
    counted = ((words, added[name]) for name, words in MODEL_WORDS.items() if name in added)
    return ", ".join(f"{count} {ngettext(*words, count)}" for words, count in counted)
