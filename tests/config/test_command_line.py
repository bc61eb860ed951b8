"""What keeps a command from running is told in a sentence, with exit code 1."""

from __future__ import annotations

import os
import shutil
import socket
import sqlite3
import subprocess
import sys
from contextlib import closing
from io import StringIO
from pathlib import Path

import pytest
from django.db import OperationalError

from config.command_line import sentence_for
from fleet.models import Person
from schedules.management.commands import serve


def run(root: Path, *words: str, **settings: str) -> tuple[int, str]:
    """Exit code and what is said of trouble."""
    kept = {k: v for k, v in os.environ.items() if k not in ("DATABASE_URL", "DATA_DIR")}
    ended = subprocess.run(
        [sys.executable, "manage.py", *words],
        cwd=root, env=kept | settings, capture_output=True, text=True, timeout=120,
    )  # fmt: skip
    return ended.returncode, ended.stderr.strip()


@pytest.mark.django_db
def test_serve_when_nobody_can_sign_in_then_told_how() -> None:
    told = StringIO()
    serve.Command(stdout=told)._tell_logins("127.0.0.1")
    assert told.getvalue() == "Nobody can sign in yet; make a login with createsuperuser.\n"


@pytest.mark.django_db
def test_first_login_when_made_by_command_then_a_manager() -> None:
    first = Person.objects.create_superuser("maren", password="x")
    assert first.role == Person.Role.MANAGER


@pytest.mark.parametrize("settings", [{}, {"SECRET_KEY": "s" * 50}])
def test_command_when_the_data_folder_is_a_file_then_told(
    root: Path, tmp_path: Path, settings: dict[str, str]
) -> None:
    place = tmp_path / "file"
    place.touch()
    code, said = run(root, "reckon", DATA_DIR=str(place), **settings)
    assert (code, said.splitlines()[0].partition(", where files cannot be kept")[0]) == (
        1, f"DATA_DIR is {str(place)!r}",
    )  # fmt: skip


def test_command_when_nothing_is_migrated_then_told_what_to_run(root: Path, tmp_path: Path) -> None:
    code, said = run(root, "reckon", DATA_DIR=str(tmp_path))
    assert (code, said.endswith("Run: manage.py migrate")) == (1, True)


def test_command_when_no_server_answers_then_told(root: Path, tmp_path: Path) -> None:
    with closing(socket.socket()) as bound:
        bound.bind(("127.0.0.1", 0))  # not listening
        url = f"postgres://nobody@127.0.0.1:{bound.getsockname()[1]}/none"
        code, said = run(root, "reckon", DATA_DIR=str(tmp_path), DATABASE_URL=url)
    assert (code, said.endswith("Check DATABASE_URL, and that its server runs.")) == (1, True)


def test_command_when_the_host_is_unknown_then_told(root: Path, tmp_path: Path) -> None:
    # RFC 2606 section 2 keeps .invalid from ever being a host
    url = "postgres://nobody@nowhere.invalid/none"
    code, said = run(root, "reckon", DATA_DIR=str(tmp_path), DATABASE_URL=url)
    assert (code, "Traceback" in said, "the host in DATABASE_URL" in said) == (1, False, True)


def test_command_when_the_database_is_another_file_then_told(root: Path, tmp_path: Path) -> None:
    other = tmp_path / "letter.txt"
    other.write_text("Dear roof, " * 500)
    code, said = run(root, "reckon", DATA_DIR=str(tmp_path), DATABASE_URL=f"sqlite:///{other}")
    assert (code, said.endswith("that file is something else.")) == (1, True)


def test_trouble_when_it_is_our_own_fault_then_no_sentence_hides_it() -> None:
    assert sentence_for(OperationalError("near SELEC: syntax error")) == ""


def test_trouble_when_the_disk_is_full_then_a_remedy() -> None:
    with closing(sqlite3.connect(":memory:")) as db:
        db.execute("PRAGMA max_page_count = 2")
        with pytest.raises(sqlite3.OperationalError) as full:
            db.executescript("CREATE TABLE a(b); CREATE TABLE c(d); CREATE TABLE e(f);")
    assert sentence_for(full.value).endswith("Make room there and run it again.")


@pytest.mark.parametrize("word", ["0", "65536", "99999", "-1", "x", "²"])
def test_serve_when_the_port_is_none_then_refused(word: str) -> None:
    with pytest.raises(serve.ArgumentTypeError, match="65535"):
        serve.port(word)


def test_serve_when_its_port_is_taken_then_told(
    root: Path, tmp_path: Path, empty_database: Path
) -> None:
    shutil.copy(empty_database, tmp_path)
    with closing(socket.create_server(("127.0.0.1", 0))) as taken:
        number = str(taken.getsockname()[1])
        code, said = run(root, "serve", "--port", number, DATA_DIR=str(tmp_path))
    assert (code, "give another --port" in said) == (1, True)
