"""Save all that is on record into one file."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from datetime import datetime
from pathlib import Path
from typing import IO, Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from schedules.backup.archive import PHOTOS, BackupError
from schedules.backup.saving import Saved, new_file, save_backup


class Command(BaseCommand):
    """Make a backup, while others go on working."""

    help = (
        "Save all rows, photos and kept emails into one file that `restore` puts into an empty "
        "install of either database. It holds what was on record at one moment; nobody has to "
        "stop. Passwords and device keys are in it as digests, addresses and photos as they are: "
        "keep it where only you can read it. Sessions and the secret key are not in it.\n\n"
        "  manage.py backup /backups            a file named after the moment\n"
        "  manage.py backup /backups/today.tar --replace\n"
        "  manage.py backup - | ssh elsewhere 'cat > today.tar'"
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("to", help="the file to write, a folder to put it in, or - to print it")
        parser.add_argument("--replace", action="store_true", help="write over a file of that name")
        parser.add_argument("--json", action="store_true", help="print the figures as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        now = timezone.now()
        try:
            if options["to"] == "-":
                self._end(self._save(sys.stdout.buffer, now), "printed", as_json=False)
                return
            path = _named(Path(options["to"]), now)
            with new_file(path, replace=options["replace"]) as file:
                saved = self._save(file, now)
        except BackupError as error:
            raise CommandError(str(error)) from error
        except OSError as error:
            where = "the output" if options["to"] == "-" else options["to"]
            raise CommandError(
                f"The backup cannot be written to {where} ({error.strerror}); nothing is left of "
                "it. Make room there, or name another place."
            ) from error
        self._end(saved, f"saved in {path}", as_json=options["json"])

    def _save(self, stream: IO[bytes], now: datetime) -> Saved:
        return save_backup(stream, now=now, tell=self.stderr.write)

    def _end(self, saved: Saved, where: str, *, as_json: bool) -> None:
        tally = saved.tally
        rows, photos = sum(tally.rows.values()), tally.files[PHOTOS]
        for name in saved.lost:
            self.stderr.write(f"Lost before: the photo file {name} is not where it was kept.")
        if as_json:
            told = {"rows": tally.rows, "files": tally.files, "lost": saved.lost}
            self.stdout.write(json.dumps(told))
            return
        out = self.stderr if where == "printed" else self.stdout
        out.write(f"{rows:,} rows and {photos:,} files of photos {where}.")


def _named(path: Path, now: datetime) -> Path:
    return path / f"roofround-{now:%Y-%m-%dT%H%M%SZ}.tar" if path.is_dir() else path
