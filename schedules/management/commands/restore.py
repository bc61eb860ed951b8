"""Put a backup back."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import IO, Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from schedules.backup.archive import PHOTOS, BackupError, Tally
from schedules.backup.restoring import check_backup, restore_backup
from schedules.due.reckoning import reckon_fleet


class Command(BaseCommand):
    """Restore a backup into an empty install, all of it or nothing."""

    help = (
        "Put a backup into this install, whose database may be another kind than the one it was "
        "made of. Stop the pages, workers and timetable first. The file is checked while it is "
        "read, and any fault leaves everything as it was. A backup of an older version is brought "
        "up to date. People keep their passwords, devices their keys; browsers sign in anew.\n\n"
        "  manage.py restore today.tar --check     read it, store nothing\n"
        "  manage.py restore today.tar\n"
        "  ssh elsewhere 'cat today.tar' | manage.py restore -"
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", help="the file that `backup` made, or - to read it")
        parser.add_argument(
            "--check", action="store_true", help="read it to its end, store nothing"
        )
        parser.add_argument(
            "--replace", action="store_true", help="throw away what is on record here now"
        )
        parser.add_argument("--json", action="store_true", help="print the figures as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            with _opened(options["file"]) as stream:
                if options["check"]:
                    tally = check_backup(stream).tally
                else:
                    tally = restore_backup(
                        stream, replace=options["replace"], tell=self.stderr.write
                    )
        except BackupError as error:
            raise CommandError(f"{error} Nothing was changed.") from error
        except OSError as error:
            raise CommandError(
                f"{options['file']} cannot be restored ({error.strerror}); nothing was changed. "
                "Check the path, and that there is room."
            ) from error
        self._end(tally, checked=options["check"], as_json=options["json"])

    def _end(self, tally: Tally, *, checked: bool, as_json: bool) -> None:
        told: dict[str, Any] = {"rows": tally.rows, "files": tally.files}
        rows, photos = sum(tally.rows.values()), tally.files[PHOTOS]
        said = f"{rows:,} rows and {photos:,} files of photos"
        if checked:
            said += " are in it, whole. Nothing was stored."
        else:
            # what was left out is packed again; dates move only where rules changed since
            report = reckon_fleet(now=timezone.now(), only_stale=False)
            told |= {"fans": report.fans, "changed": report.changed}
            said += f" are back; {report.fans:,} fans reckoned, {report.changed:,} dates changed."
        self.stdout.write(json.dumps(told) if as_json else said)


def _opened(name: str) -> IO[bytes]:
    return sys.stdin.buffer if name == "-" else Path(name).open("rb")
