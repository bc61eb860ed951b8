"""What every test may ask for; the database is the one that DATABASE_URL names, else SQLite."""

import fcntl
import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from uuid import uuid4

import pytest
from django.conf import settings as project
from django.db import connection, connections, transaction
from django.test import TransactionTestCase, override_settings
from hypothesis import settings as examples
from playwright.sync_api import Browser, Page, expect, sync_playwright

from tests.people import dana, mara, olga, roofs, sam, theo  # noqa: F401

SHOWN = (
    "tests/pages/", "tests/stories/", "tests/owner/test_attacks.py", "tests/owner/test_links.py",
)  # fmt: skip
LONG = ("tests/backup/", "tests/bench/", "tests/deploy/", "tests/proofs/")
MIGRATED = {"auth_permission", "django_content_type", "django_migrations"}
CHROMIUM = Path("/usr/bin/chromium")
CHROMIUM_ARGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--disable-sync",
    "--disable-background-networking",
    "--disable-component-update",
]

# A busy machine is no fault of the code, and a landing must not hang on which examples were drawn.
examples.register_profile("here", deadline=None, print_blob=True)
examples.register_profile("ci", deadline=None, derandomize=True)
examples.load_profile("ci" if os.environ.get("CI") == "true" else "here")


def find_missing(marker: str) -> str:
    """What a test with this marker lacks on this machine, with the remedy; else nothing."""
    if marker == "postgres" and connection.vendor != "postgresql":
        return "PostgreSQL is not in use: set DATABASE_URL=postgres://user@host/name"
    if marker == "browser" and not CHROMIUM.exists():
        return f"{CHROMIUM} is missing: apt-get install chromium"
    if marker == "redis" and not shutil.which("redis-server"):
        return "redis-server is missing: apt-get install redis-server"
    if marker == "tiny_disk" and not can_mount():
        return "no disk may be mounted here: allow user namespaces, or run as root"
    if marker == "generator" and not find_spec("openapi_python_client"):
        return "the client generator is missing: pip install openapi-python-client"
    return ""


@cache
def can_mount() -> bool:
    """Whether a process of ours may have a mount of its own."""
    try:
        return subprocess.run(["unshare", "-rm", "true"], check=False).returncode == 0
    except FileNotFoundError:
        return False


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what answers alike beside any database, which a landing runs once.

    That is what asks for none, pages and stories, whose services are tried on both, and what those
    are refused who have no link of theirs.
    """
    for item in items:
        marks = {mark.name for mark in item.iter_markers()}
        asks = "django_db_setup" in getattr(item, "fixturenames", ()) or "django_db" in marks
        alike = not asks or item.nodeid.startswith(SHOWN)
        if alike and not marks & {"postgres", "both"}:
            item.add_marker("once")


@pytest.hookimpl(trylast=True, specname="pytest_collection_modifyitems")
def pytest_put_long_ones_first(items: list[pytest.Item]) -> None:
    """Else one worker is left with the longest of them when the other has done everything."""
    items.sort(key=lambda item: not item.nodeid.startswith(LONG))


def pytest_runtest_setup(item: pytest.Item) -> None:
    """Skip visibly what this machine cannot run; under CI a hole in the run is a failure.

    A disk of its own is what a container may forbid, and no package can bring it.
    """
    for mark in item.iter_markers():
        missing = find_missing(mark.name)
        if missing and mark.name != "tiny_disk" and os.environ.get("CI") == "true":
            pytest.fail(missing, pytrace=False)
        if missing:
            pytest.skip(missing)


@pytest.fixture(autouse=True, scope="session")
def quick_passwords() -> Iterator[None]:
    """Slow hashing protects people, not test data."""
    with override_settings(PASSWORD_HASHERS=["django.contrib.auth.hashers.MD5PasswordHasher"]):
        yield


@pytest.fixture(autouse=True, scope="session")
def quick_clients() -> Iterator[None]:
    """Each test's client sets up all middleware anew; listing every static file took most of it.

    So they are looked for when asked for.
    """
    with override_settings(WHITENOISE_AUTOREFRESH=True):
        yield


@pytest.fixture(autouse=True, scope="session")
def quick_emptying() -> Iterator[None]:
    """After a test that commits Django empties every table and fills in again what migrating did.

    Some hundred tests do so: only what they filled is emptied, and that is left.
    """
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(TransactionTestCase, "_fixture_teardown", empty_what_is_filled)
        yield


def empty_what_is_filled(_: TransactionTestCase) -> None:
    """Delete all rows but those of migrating; references are looked at when all are gone."""
    tables = set(connection.introspection.django_table_names(only_existing=True)) - MIGRATED
    asked = [f"SELECT '{name}' WHERE EXISTS (SELECT 1 FROM {name})" for name in sorted(tables)]
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(" UNION ALL ".join(asked))
        for (name,) in cursor.fetchall():
            cursor.execute(f"DELETE FROM {name}")


@pytest.fixture(autouse=True, scope="session")
def photos_apart(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """No test's photos end among those of the checkout."""
    folder = tmp_path_factory.mktemp("photos")
    with keeping_photos(folder):
        yield folder


@pytest.fixture(autouse=True)
def photo_folder(photos_apart: Path) -> Iterator[Path]:
    """Where a test's photos are kept, of which nobody else knows; made by the first of them."""
    folder = photos_apart / uuid4().hex
    with keeping_photos(folder):
        yield folder


def keeping_photos(folder: Path) -> override_settings:
    """Have the storage of photos lie in that folder."""
    kept = project.STORAGES["photos"]
    options = {**kept["OPTIONS"], "location": folder}
    return override_settings(STORAGES={**project.STORAGES, "photos": {**kept, "OPTIONS": options}})


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """One real browser for the whole run."""
    with pytest.MonkeyPatch.context() as patch, sync_playwright() as playwright:
        # Playwright keeps an event loop in this thread; Django would refuse the database beside it.
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
        expect.set_options(timeout=30_000)  # as actions have: other tests run beside
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=CHROMIUM_ARGS)
        yield browser
        browser.close()
        # beside the loop tests had a connection of their own, which would hold the test database
        connections.close_all()


@pytest.fixture
def page(chromium: Browser, live_server: object) -> Iterator[Page]:
    """A phone-sized page on the live site; anything the browser complains of fails the test."""
    complaints: list[str] = []
    context = chromium.new_context(
        base_url=str(live_server), viewport={"width": 360, "height": 740}, reduced_motion="reduce"
    )
    page = context.new_page()
    page.on("console", lambda said: said.type == "error" and complaints.append(said.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    yield page
    context.close()
    assert complaints == []


@pytest.fixture(scope="session")
def empty_database(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A SQLite file of all tables and no rows, to be copied; migrated once for all workers."""
    shared = tmp_path_factory.getbasetemp()
    shared = shared.parent if "PYTEST_XDIST_WORKER" in os.environ else shared
    folder = shared / "empty"
    with (shared / "empty.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not folder.exists():
            own = {"DATA_DIR": str(folder), "DATABASE_URL": "", "REDIS_URL": ""}
            command = [sys.executable, "manage.py", "migrate", "-v0", "--skip-checks"]
            subprocess.run(command, cwd=root, env=os.environ | own, check=True, timeout=120)
            with closing(sqlite3.connect(folder / "roofround.sqlite3")) as link:
                link.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return folder / "roofround.sqlite3"


@pytest.fixture(scope="session")
def root() -> Path:
    """The folder of the checkout."""
    return Path(project.BASE_DIR)
