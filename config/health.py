"""The addresses that balancers and containers ask: is this process alive, may it be sent people.

Neither asks of the broker or the timetable: pages and visits need neither, and taking every web
process out because the jobs stand still would turn a late letter into an outage.  Those who plan
see both on the status page.
"""

from collections.abc import Callable
from functools import wraps

from django.contrib.auth.decorators import login_not_required
from django.db import Error, connection, transaction
from django.db.migrations.executor import MigrationExecutor
from django.http import HttpRequest, HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from config.collisions import is_locked

PATIENCE_MS = 100
READ_ONLY = "SELECT pg_is_in_recovery() OR current_setting('transaction_read_only')::bool"
_migrated = False


def _answering(find_trouble: Callable[[], str]) -> Callable[[HttpRequest], HttpResponse]:
    """A page of one line: 200 ``ok``, or 503 with the trouble."""

    @wraps(find_trouble)
    def page(request: HttpRequest) -> HttpResponse:
        try:
            trouble = find_trouble()
        except Error:
            trouble = "database unreachable"
        status = 503 if trouble else 200
        return HttpResponse(f"{trouble or 'ok'}\n", status=status, content_type="text/plain")

    return login_not_required(never_cache(require_safe(page)))


@_answering
def healthz() -> str:
    """Alive: this process answers, and so does the database."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    return ""


@_answering
def readyz() -> str:
    """Ready for people: the tables are those of this code, and may be written to."""
    if not is_migrated():
        return "migrations are missing: run manage.py migrate"
    return "" if is_writable() else "database is read-only"


def is_migrated() -> bool:
    """Whether every migration of this code is applied; once it is, it stays so."""
    global _migrated
    if not _migrated:
        executor = MigrationExecutor(connection)
        _migrated = not executor.migration_plan(executor.loader.graph.leaf_nodes())
    return _migrated


def is_writable() -> bool:
    """Whether the database takes writing; one in which somebody writes just now does."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(READ_ONLY)
            return not cursor.fetchone()[0]
        return _takes_a_lock()


def _takes_a_lock() -> bool:
    """SQLite: begin to write, briefly, and write nothing."""
    patience_ms = int(connection.settings_dict["OPTIONS"]["timeout"]) * 1000
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA busy_timeout = {PATIENCE_MS}")
        try:
            with transaction.atomic():
                return True
        except Error as error:
            return is_locked(error)
        finally:
            cursor.execute(f"PRAGMA busy_timeout = {patience_ms}")
