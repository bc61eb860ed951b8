"""Bring travel times between sites and bases on record; planning then goes by them."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError
from django.utils import timezone

from config.characters import plain_name
from fleet.wording import complaint_sentence, note_sentences
from schedules.management.commands.import_fleet import (
    SHOWN_AT_MOST,
    FileCommand,
    capped,
    read_file,
    refusal,
)
from schedules.rounds.ways import reading
from schedules.rounds.ways.importing import TravelReport, forget_travel, import_travel_file
from schedules.rounds.ways.telling import report_texts
from schedules.terminal import write_plainly


class Command(FileCommand):
    """A table of ways with minutes and kilometres, all or nothing."""

    help = (
        "Bring travel times between sites and technicians' bases on record, from a CSV or XLSX "
        "file. Planning goes by them instead of great circles; ways that lack are estimated as "
        "before. What lacks, differs by direction or has moved is told.\n\n"
        "  manage.py import_travel fixtures/examples/travel.csv --dry-run\n"
        "  manage.py import_travel --forget\n"
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.epilog = reading.__doc__
        parser.add_argument("file", nargs="?", type=Path, help="the file to read")
        parser.add_argument(
            "--dry-run", action="store_true", help="tell what would happen and store nothing"
        )
        parser.add_argument(
            "--forget", action="store_true", help="forget all ways: plan by great circles again"
        )
        parser.add_argument("--json", action="store_true", help="print the outcome as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        path: Path | None = options["file"]
        if options["forget"] == (path is not None):
            raise CommandError("give a file, or --forget without one")
        if path is None:
            write_plainly(self.stdout, f"{forget_travel(by=None)} ways forgotten.\n")
            return
        report = import_travel_file(
            data=read_file(path), name=plain_name(path), by=None, now=timezone.now(),
            dry_run=options["dry_run"],
        )  # fmt: skip
        lines = [json.dumps(as_json(report))] if options["json"] else list(told(report))
        write_plainly(self.stdout, "\n".join(lines) + "\n")
        if report.refused:
            raise CommandError(refusal(report.file, report.complaint_count))


def told(report: TravelReport) -> Iterator[str]:
    """The outcome in lines."""
    kept = [complaint_sentence(said) for said in report.complaints[:SHOWN_AT_MOST]]
    yield from capped(kept, None, report.complaint_count)
    if not report.refused:
        verb = "would be added" if report.dry_run else "added"
        yield f"{report.file}: {report.added.get('ways', 0)} ways {verb}."
        yield from report_texts(report)
    yield from note_sentences(report.notes)


def as_json(report: TravelReport) -> dict[str, Any]:
    """The outcome for programs."""
    looked = report.looked
    return {
        "file": report.file,
        "dry_run": report.dry_run,
        "complaints": [complaint_sentence(said) for said in report.complaints],
        "added": report.added.get("ways", 0),
        "changed": report.changed,
        "known": len(looked.ways) if looked else None,
        "gaps": looked.wanted - len(looked.ways) if looked else None,
        "unlike": len(looked.unlike) if looked else None,
        "longer": len(looked.longer) if looked else None,
        "moved": [looked.places.name(key) for key in looked.moved] if looked else [],
    }
