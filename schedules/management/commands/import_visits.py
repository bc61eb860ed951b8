"""Bring old visits and readings into the record."""

from __future__ import annotations

import json
from argparse import ArgumentParser, RawDescriptionHelpFormatter
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from schedules.services import import_visit_file
from visits import imports, payload
from visits.imports.report import VisitImportReport

SHOWN_AT_MOST = 50


class Command(BaseCommand):
    """Import JSON lines, or a table of readings as CSV or XLSX."""

    help = (
        "Bring visits, events, answers and closings into the record from JSON lines, or readings "
        "from a CSV or XLSX table. All or nothing: whatever is wrong is told at once, with line, "
        "place, value and remedy. The same file again changes nothing.\n\n"
        "  manage.py import_visits fixtures/examples/visits.jsonl --dry-run\n\n"
        f"TABLES\n{imports.__doc__}\nJSON LINES\n{payload.__doc__}"
    )

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> Any:
        """Keep the line breaks of the documented format."""
        return super().create_parser(
            prog_name, subcommand, formatter_class=RawDescriptionHelpFormatter, **kwargs
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
        parser.add_argument("--json", action="store_true", help="print the outcome as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        path: Path = options["file"]
        try:
            data = path.read_bytes()
        except OSError as error:
            raise CommandError(
                f"{path} cannot be read ({error.strerror}); check the path"
            ) from error
        self.stderr.write(f"Reading {path.name}, {len(data) / 1e6:.1f} MB …")
        report = import_visit_file(
            data=data,
            name=path.name,
            by=None,
            now=timezone.now(),
            here=options["here"],
            dry_run=options["dry_run"],
        )
        lines = [json.dumps(_plain(report))] if options["json"] else _told(report)
        self.stdout.write("\n".join(lines))
        if report.refused:
            raise CommandError(
                f"{path.name} has {report.complaint_count} things to put right; nothing was stored"
            )


def _told(report: VisitImportReport) -> Iterable[str]:
    if report.refused:
        for complaint in report.complaints[:SHOWN_AT_MOST]:
            yield str(complaint)
        if report.complaint_count > SHOWN_AT_MOST:
            yield f"… and {report.complaint_count - SHOWN_AT_MOST} more"
        return
    if report.changes_nothing:
        yield f"All {report.records} records are on record already; nothing changed."
        return
    counts = ", ".join(
        f"{number} {name}{'' if number == 1 else 's'}"
        for name, number in sorted(report.added.items())
    )
    verb = "Would add" if report.dry_run else "Added"
    repeated = f"; {report.repeated} were on record already" if report.repeated else ""
    yield f"{verb} {counts}{repeated}."
    if not report.dry_run:
        yield f"{len(report.fan_ids)} fans were reckoned."


def _plain(report: VisitImportReport) -> dict[str, Any]:
    return {
        "file": report.file,
        "dry_run": report.dry_run,
        "records": report.records,
        "added": dict(report.added),
        "repeated": report.repeated,
        "fans": len(report.fan_ids),
        "complaint_count": report.complaint_count,
        "complaints": [
            {
                "line": said.line,
                "column": said.column,
                "pointer": said.complaint.pointer,
                "problem": said.complaint.problem,
                "seen": said.complaint.seen,
                "remedy": said.complaint.remedy,
            }
            for said in report.complaints
        ],
    }
