"""Bring old visits and readings into the record."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from collections.abc import Iterable
from pathlib import Path
from typing import Any, TextIO, cast

from django.core.management.base import CommandError
from django.utils import timezone

from config.characters import plain_name
from schedules.management.commands.import_fleet import (
    ALL_HELP,
    SHOWN_AT_MOST,
    FileCommand,
    capped,
    read_file,
    reading,
    refusal,
    show_due,
)
from schedules.services import import_visit_file
from visits import imports, payload
from visits.imports.report import VisitImportReport
from visits.payload.vocabulary import vocabulary_text


class Command(FileCommand):
    """Import JSON lines, or a table of readings as CSV or XLSX."""

    help = (
        "Bring visits, events, answers and closings into the record from JSON lines, or readings "
        "from a CSV or XLSX table. All or nothing: whatever is wrong is told at once, with line, "
        "place, value and remedy. The same file again changes nothing.\n\n"
        "  manage.py import_visits fixtures/examples/visits.jsonl --dry-run\n\n"
        f"TABLES\n{imports.__doc__}\nJSON LINES\n{payload.__doc__}\nNAMES\n{vocabulary_text()}"
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="the file to read")
        parser.add_argument(
            "--dry-run", action="store_true", help="tell what would happen and store nothing"
        )
        parser.add_argument(
            "--here",
            action="store_true",
            help="these visits were made under this schedule; they end a fan's onboarding",
        )
        parser.add_argument("--all", action="store_true", help=ALL_HELP)
        parser.add_argument("--json", action="store_true", help="print the outcome as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        path: Path = options["file"]
        data = read_file(path)
        self.stderr.write(reading(plain_name(path), len(data)))
        report = import_visit_file(
            data=data,
            name=plain_name(path),
            by=None,
            now=timezone.now(),
            here=options["here"],
            dry_run=options["dry_run"],
        ).told_at({"words": "all listed by import_visits --help"})
        most = None if options["all"] else SHOWN_AT_MOST
        lines = [json.dumps(_plain(report))] if options["json"] else _told(report, most)
        self.stdout.write("\n".join(lines))
        if report.refused:
            raise CommandError(refusal(plain_name(path), report.complaint_count))
        if report.fan_ids and not options["json"]:
            show_due(cast(TextIO, self.stdout))


def _told(report: VisitImportReport, most: int | None) -> Iterable[str]:
    yield from capped([f"Note: {note}" for note in report.notes], most)
    if report.refused:
        kept = list(map(str, report.complaints[:most]))
        yield from capped(kept, most, report.complaint_count)
        return
    if report.changes_nothing:
        of_file = "The record is" if report.records == 1 else f"All {report.records} records are"
        yield f"{of_file} on record already; nothing changed."
        return
    counts = ", ".join(
        f"{number} {name}{'' if number == 1 else 's'}"
        for name, number in sorted(report.added.items())
    )
    verb = "Would add" if report.dry_run else "Added"
    repeated = f"; {report.repeated} were on record already" if report.repeated else ""
    yield f"{verb} {counts}{repeated}."
    if not report.dry_run:
        fans = len(report.fan_ids)
        yield f"{fans:,} {'fan was' if fans == 1 else 'fans were'} reckoned."


def _plain(report: VisitImportReport) -> dict[str, Any]:
    return {
        "file": report.file,
        "dry_run": report.dry_run,
        "records": report.records,
        "added": dict(report.added),
        "repeated": report.repeated,
        "fans": len(report.fan_ids),
        "notes": list(report.notes),
        "complaint_count": report.complaint_count,
        "complaints": [
            {
                "line": said.line,
                "lines": [said.line, *said.others],
                "column": said.column,
                "pointer": said.complaint.pointer,
                "problem": said.complaint.problem,
                "seen": said.complaint.seen,
                "remedy": said.complaint.remedy,
            }
            for said in report.complaints
        ],
    }
