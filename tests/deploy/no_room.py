"""What people get, and what is left lying about, where nothing can be stored.

``main`` runs in a process whose DATA_DIR is a small disk of its own.  It stores each thing when the
disk is full, when it is read-only, and when all is well again, and prints what came of it as JSON.
"""

from __future__ import annotations

import gc
import json
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from datetime import timedelta
from io import StringIO
from pathlib import Path
from typing import Any

from django.apps import apps
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import DatabaseError, connection
from django.utils import timezone

from config.command_line import sentence_for
from fleet.models import Person
from schedules.models import Notice
from tests.api.asking import by_key
from tests.api.logs import VISITS, walk
from tests.api.photos import send as send_photo
from tests.people import signed_in
from tests.schedules.fans import make_fan

Deed = Callable[[], str]
ROOT = Path(__file__).resolve().parents[2]
EXAMPLE = ROOT / "fixtures" / "examples" / "fleet.csv"
STORED = ("fleet.fan", "fleet.machine", "visits.visit", "visits.check", "visits.photo",
          "schedules.duechange")  # fmt: skip
PIECE = 4096


class Story:
    """People at an install: a technician's phone, a planner's browser, an operator's terminal."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        call_command("migrate", verbosity=0)
        self.fan = make_fan()
        theo = Person.objects.create_user("theo", role=Person.Role.TECHNICIAN)
        mara = Person.objects.create_user("mara", role=Person.Role.MANAGER)
        self.phone, self.browser = by_key(theo), signed_in(mara)
        self.phone.raise_request_exception = self.browser.raise_request_exception = False
        self.visited = walk(self.fan)
        assert self.phone.post(VISITS, self.visited).status_code == 201
        now = timezone.now()
        Notice.objects.create(
            kind="overdue", addressee="owner-1", period="2026-W25", owner=self.fan.site.owner,
            address="office@alder.example", subject="Overdue", text="t" * 9000, html="<p>t</p>",
            owed_at=now, send_after=now - timedelta(days=1),
        )  # fmt: skip

    def deeds(self) -> dict[str, Deed]:
        return {
            "visit": lambda: _told(self.phone.post(VISITS, walk(self.fan))),
            "photo": lambda: _told(send_photo(self.phone, self.visited)),
            "upload": self._upload,
            "import": lambda: _said("import_fleet", str(EXAMPLE)),
            "mail": lambda: _said("send_notices"),
            "backup": lambda: _said("backup", str(self.folder / "backup.tar")),
        }

    def _upload(self) -> str:
        file = SimpleUploadedFile("fleet.csv", EXAMPLE.read_bytes())
        sent = {"what": "fleet", "weeks": "6", "file": file}
        return _told(self.browser.post("/import/", sent))

    def tried(self) -> dict[str, Any]:
        """What each deed came to, the rows there are after each, and files that nobody named."""
        told = {}
        for name, deed in self.deeds().items():
            said = deed()
            told[name] = said
            connection.close()
        return told

    def left(self) -> dict[str, Any]:
        """Rows of what people store, and every file but the database's own and the ballast."""
        rows = {label: apps.get_model(label).objects.count() for label in STORED}
        connection.close()
        files = [str(p.relative_to(self.folder)) for p in self.folder.rglob("*") if p.is_file()]
        kept = [f for f in files if "sqlite3" not in f and f not in ("ballast", "secret_key")]
        return {**rows, "files": sorted(kept)}


def _told(answer: Any) -> str:
    """Status and what a person or a program is told."""
    if answer.headers.get("Content-Type", "").startswith("text/html"):
        title = answer.content.decode().partition("<h1>")[2].partition("</h1>")[0]
        return f"{answer.status_code} {title.strip()}"
    return f"{answer.status_code} {answer.json().get('code', 'stored')}"


def _said(*words: str) -> str:
    """How a command ends: its words, or the sentence that manage.py would end with."""
    out = StringIO()
    try:
        call_command(*words, stdout=out, stderr=StringIO())
    except CommandError as error:
        return f"refused: {error}"
    except (OSError, DatabaseError) as error:
        return f"refused: {sentence_for(error) or repr(error)}"
    return f"done: {out.getvalue().strip().splitlines()[-1]}"


@contextmanager
def full(folder: Path) -> Iterator[None]:
    """Fill the disk to its last piece, as others' files do."""
    ballast = folder / "ballast"
    with ballast.open("wb", buffering=0) as file:
        try:
            while True:
                file.write(b"\0" * PIECE)
        except OSError:
            pass
    yield
    ballast.unlink()


@contextmanager
def read_only(folder: Path) -> Iterator[None]:
    """As a disk that has found faults in itself."""
    gc.collect()  # a connection that failed while it was made is closed by nobody else
    subprocess.run(["mount", "-o", "remount,ro", str(folder)], check=True)
    yield
    subprocess.run(["mount", "-o", "remount,rw", str(folder)], check=True)


def main(folder: Path) -> None:
    story = Story(folder)
    connection.close()
    told: dict[str, Any] = {"before": story.left()}
    with closing(sqlite3.connect(folder / "roofround.sqlite3")) as another:
        another.execute("SELECT count(*) FROM fleet_fan").fetchone()  # it is in use
        with full(folder):
            told["full"] = story.tried()
        told["after full"] = story.left()
    with full(folder):
        told["full, started anew"] = story.tried()
    told["after full, started anew"] = story.left()
    with read_only(folder):
        told["read-only"] = story.tried()
    told["after read-only"] = story.left()
    told["well"] = story.tried()
    told["after well"] = story.left()
    sys.stdout.write(json.dumps(told, indent=1))
