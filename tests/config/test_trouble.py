"""What kind of trouble an error tells of, by codes that its maker documents."""

from __future__ import annotations

import errno
import sqlite3
import threading
from collections.abc import Iterator
from contextlib import closing
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

import psycopg
import pytest
from django.db import DataError, OperationalError
from django.utils.functional import Promise

from config.healthcheck import find_trouble
from config.trouble import BUSY, FULL, READ_ONLY, UNREACHABLE, Trouble, trouble_of
from config.whole_files import whole_file


def wrapped(cause: Exception) -> OperationalError:
    """As Django hands on what a driver raised."""
    error = OperationalError(str(cause))
    error.__cause__ = cause
    return error


@pytest.mark.parametrize(
    ("number", "expected"),
    [(errno.ENOSPC, FULL), (errno.EDQUOT, FULL), (errno.EROFS, READ_ONLY),
     (errno.EACCES, READ_ONLY), (errno.ENOENT, None), (errno.EPIPE, None)],
)  # fmt: skip
def test_file_when_it_cannot_be_written_then_known(number: int, expected: Trouble | None) -> None:
    assert trouble_of(OSError(number, "")) is expected


@pytest.mark.parametrize(
    ("kind", "expected"),
    [
        # PostgreSQL's manual, appendix A
        (psycopg.errors.DiskFull, FULL),
        (psycopg.errors.ReadOnlySqlTransaction, READ_ONLY),
        (psycopg.errors.AdminShutdown, UNREACHABLE),
        (psycopg.errors.CannotConnectNow, UNREACHABLE),
        (psycopg.errors.TooManyConnections, UNREACHABLE),
        (psycopg.errors.UniqueViolation, None),
        (psycopg.errors.UndefinedTable, None),
    ],
)
def test_postgres_when_it_refuses_then_known(
    kind: type[psycopg.Error], expected: Trouble | None
) -> None:
    assert trouble_of(wrapped(kind("refused"))) is expected


def test_postgres_when_nobody_listens_then_unreachable() -> None:
    with pytest.raises(psycopg.OperationalError) as refused:
        psycopg.connect(host="127.0.0.1", port=1, connect_timeout=5)
    assert trouble_of(wrapped(refused.value)) is UNREACHABLE


@pytest.mark.parametrize(
    ("statement", "expected"),
    [("PRAGMA query_only = on", READ_ONLY), ("PRAGMA max_page_count = 1", FULL),
     ("SELECT 1", None)],
)  # fmt: skip
def test_sqlite_when_it_refuses_then_known(
    tmp_path: Path, statement: str, expected: Trouble | None
) -> None:
    with closing(sqlite3.connect(tmp_path / "a.sqlite3")) as db:
        db.execute("CREATE TABLE a(b)")
        db.execute(statement)
        with pytest.raises(sqlite3.OperationalError) as refused:
            db.execute("CREATE TABLE a(b)" if expected is None else "CREATE TABLE c(d)")
    assert trouble_of(wrapped(refused.value)) is expected


def test_sqlite_when_another_writes_then_busy(tmp_path: Path) -> None:
    path = tmp_path / "a.sqlite3"
    with closing(sqlite3.connect(path)) as one, closing(sqlite3.connect(path, timeout=0)) as two:
        one.execute("BEGIN IMMEDIATE")
        with pytest.raises(sqlite3.OperationalError) as refused:
            two.execute("BEGIN IMMEDIATE")
    assert trouble_of(wrapped(refused.value)) is BUSY


@pytest.mark.parametrize("trouble", [BUSY, FULL, READ_ONLY, UNREACHABLE])
def test_trouble_then_its_words_are_read_in_the_reader_s_language(trouble: Trouble) -> None:
    assert isinstance(trouble.title, Promise)
    assert isinstance(trouble.sentence, Promise)


def test_fault_when_it_is_ours_then_no_trouble() -> None:
    assert trouble_of(DataError("out of range")) is trouble_of(ValueError()) is None


def test_file_when_its_writing_breaks_off_then_the_old_one_stays(tmp_path: Path) -> None:
    path = tmp_path / "letter"
    path.write_text("old")
    with pytest.raises(TypeError), whole_file(path) as file:
        file.writelines([b"half", None])
    assert [(p.name, p.read_text()) for p in tmp_path.iterdir()] == [("letter", "old")]


class Server(BaseHTTPRequestHandler):
    """Well for its own name only, as Django is."""

    def do_GET(self) -> None:
        self.send_response(200 if self.headers["Host"] == "roofs.example" else 400)
        self.end_headers()

    def log_message(self, *args: object) -> None:
        pass


@pytest.fixture
def served() -> Iterator[str]:
    """The address of such a server."""
    with HTTPServer(("127.0.0.1", 0), Server) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        yield f"http://127.0.0.1:{server.server_port}/healthz"
        server.shutdown()
        thread.join()


@pytest.mark.parametrize(
    ("hosts", "told"), [("roofs.example,b.example", ""), (".roofs.example", ""), ("", "400")]
)
def test_healthcheck_when_asked_then_by_the_sites_own_name(
    served: str, monkeypatch: pytest.MonkeyPatch, hosts: str, told: str
) -> None:
    monkeypatch.setenv("ALLOWED_HOSTS", hosts)
    trouble = find_trouble(served)
    assert told in trouble
    assert bool(trouble) is bool(told)


def test_healthcheck_when_nobody_answers_then_told() -> None:
    assert "is not well" in find_trouble("http://127.0.0.1:1/healthz")
