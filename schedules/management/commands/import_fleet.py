"""Bring the register in line with a spreadsheet of fans."""

from __future__ import annotations

import json
from argparse import ArgumentParser, RawDescriptionHelpFormatter
from collections.abc import Iterator
from pathlib import Path
from typing import Any, TextIO, cast

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from config.characters import plain_name
from fleet.imports.columns import column_table
from fleet.imports.report import ImportReport
from fleet.report_data import report_data
from fleet.services.onboarding import DEFAULT_WEEKS
from fleet.wording import added_words, complaint_sentence, new_names, note_sentences
from schedules.services import import_fleet_file
from schedules.terminal import write_due_list

SHOWN_AT_MOST = 40
DUE_SHOWN = 10
ALL_HELP = "tell everything, however long; without it lists end after the first 40"


class FileCommand(BaseCommand):
    """A command about one file, whose help keeps the line breaks of the documented format."""

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> Any:
        return super().create_parser(
            prog_name, subcommand, formatter_class=RawDescriptionHelpFormatter, **kwargs
        )


def read_file(path: Path) -> bytes:
    """All of it; CommandError says why it cannot be read."""
    try:
        return path.read_bytes()
    except OSError as error:
        raise CommandError(f"{path} cannot be read ({error.strerror}); check the path") from error


class Command(FileCommand):
    """Import a CSV or XLSX file, one row for each fan."""

    help = (
        "Bring owners, sites, exhaust systems, fans, machines and feeds into the register from a "
        "CSV or XLSX file, one row for each fan. All or nothing: whatever is wrong is told at "
        "once, with row, column, value and remedy. The same file again changes nothing; a changed "
        "cell shows the old value and the new; a blank cell leaves what is on record.\n\n"
        "  manage.py import_fleet fixtures/examples/fleet.csv --dry-run\n\n"
        "Columns, in any order; case, spaces, signs and usual synonyms do not matter. Units stand "
        "in the heading or the cell (5 hp, 3.7 kW, Bore (in)). A ? marks a part of a nameplate "
        "nobody could read.\n\n"
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.epilog = column_table()
        parser.add_argument("file", type=Path, help="the file to read")
        parser.add_argument(
            "--dry-run", action="store_true", help="tell what would happen and store nothing"
        )
        parser.add_argument(
            "--weeks",
            type=int,
            default=DEFAULT_WEEKS,
            help="spread the first visits of new fans over so many weeks (default %(default)s); "
            "0 gives no onboarding days: all that the record owes falls due at once",
        )
        parser.add_argument("--all", action="store_true", help=ALL_HELP)
        parser.add_argument("--json", action="store_true", help="print the outcome as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        path: Path = options["file"]
        if not 0 <= options["weeks"] <= 52:
            raise CommandError(f"--weeks is {options['weeks']}; give 0 to 52")
        data = read_file(path)
        self.stderr.write(reading(plain_name(path), len(data)))
        report = import_fleet_file(
            data=data,
            name=plain_name(path),
            by=None,
            now=timezone.now(),
            dry_run=options["dry_run"],
            weeks=options["weeks"],
        )
        most = None if options["all"] else SHOWN_AT_MOST
        lines = [json.dumps(report_data(report))] if options["json"] else told(report, most)
        self.stdout.write("\n".join(lines))
        if report.refused:
            raise CommandError(refusal(plain_name(path), report.complaint_count))
        if report.fan_ids and not options["json"]:
            show_due(cast(TextIO, self.stdout))


def reading(name: str, size: int) -> str:
    """What is being read, and how large it is."""
    large = f"{size / 1e6:.1f} MB" if size >= 1e6 else f"{max(size / 1e3, 0.1):.1f} kB"
    return f"Reading {name}, {large} …"


def show_due(out: TextIO) -> None:
    """End an import with what it is for: who is due first, and how to see the rest."""
    write_due_list(out, now=timezone.now(), most=DUE_SHOWN)
    out.write("The whole list: manage.py due_list")


def refusal(name: str, count: int) -> str:
    """The closing sentence of a file that was refused."""
    things = "1 thing" if count == 1 else f"{count:,} things"
    return f"{name} has {things} to put right; nothing was stored"


def told(report: ImportReport, most: int | None = SHOWN_AT_MOST) -> Iterator[str]:
    """The report for a terminal, of each list ``most`` lines (None: all)."""
    yield from capped([f"Note: {note}" for note in note_sentences(report.notes)], most)
    if report.refused:
        kept = [complaint_sentence(complaint) for complaint in report.complaints[:most]]
        yield from capped(kept, most, report.complaint_count)
    elif report.changes_nothing:
        fans = report.fans_in_file
        all_of_it = f"All {fans:,} fans are on record as the file has them"
        yield f"{'The fan is on record as told' if fans == 1 else all_of_it}; nothing changed."
    else:
        yield from _changes(report, most)


def _changes(report: ImportReport, most: int | None) -> Iterator[str]:
    would = report.dry_run
    if report.added:
        yield f"{'Would add' if would else 'Added'} {added_words(report.added)}."
        yield from new_names(report)
    if report.changes:
        count = len(report.changes)
        values = "1 value" if count == 1 else f"{count:,} values"
        yield f"{'Would change' if would else 'Changed'} {values}:"
    yield from capped(
        [
            f"  row {c.row}, {c.what}, {c.column}: {c.old or 'nothing'} -> {c.new or 'nothing'}"
            for c in report.changes[:most]
        ],
        most,
        len(report.changes),
    )
    if report.onboarding:
        days = report.onboarding
        fans = "the new fan" if days.fans == 1 else f"{days.fans:,} new fans"
        yield f"First visits of {fans}: {days.first_on} to {days.last_on}."
    if would:
        yield "Nothing was stored."


def capped(lines: list[str], most: int | None, count: int | None = None) -> Iterator[str]:
    """``most`` of the lines, and how many there are beyond them (``count`` in all)."""
    shown = lines[:most]
    yield from shown
    more = (len(lines) if count is None else count) - len(shown)
    if more > 0:
        how = "--all shows them" if most else f"put the first {len(shown):,} right, then try again"
        yield f"… and {more:,} more; {how}"
