"""What a turn of writing notices costs on a large fleet, by kind, when there is little to say."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from pathlib import Path

from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from fleet.models import (
    Agreement,
    ClosedDay,
    CookingPeriod,
    ExhaustSystem,
    Fan,
    Machine,
    OperatingPeriod,
    Owner,
    Site,
)
from schedules.bench.correspondence import advise, staff_and_letters
from schedules.bench.filling import SAMPLE, fill_sample
from schedules.bench.fleet import START
from schedules.bench.lives import DAYS_TOLD
from schedules.bench.measuring import memory_mb, timed
from schedules.bench.scratch import tidy
from schedules.bench.stamping import stamp_out
from schedules.due.reckoning import reckon_fans
from schedules.models import DueState
from schedules.notices.kinds import KINDS
from schedules.notices.writing import write_notices
from schedules.revisions import raise_revisions
from visits.models import (
    Action,
    Check,
    Decision,
    Event,
    Finding,
    MadeSafe,
    Recommendation,
    SystemInspection,
    Visit,
)

Tell = Callable[[str], None]
TABLES = (
    Owner, Agreement, Site, ExhaustSystem, CookingPeriod, OperatingPeriod, ClosedDay, Fan, Machine,
    Visit, Check, Action, Finding, Recommendation, Decision, MadeSafe, SystemInspection, Event,
    DueState,
)  # fmt: skip
SITES_PER_OWNER = 10
NOW = datetime.combine(START + timedelta(days=DAYS_TOLD), time(18), UTC)
"""A Wednesday on which it is a working hour from one coast to the other."""
TURN = timedelta(minutes=30)
PEAK, CLEAR_PEAK = Path("/proc/self/clear_refs"), "5"
"""What makes the kernel forget how far a process had grown (proc(5), clear_refs)."""
READ = "SELECT sum(seq_tup_read + coalesce(idx_tup_fetch, 0)) FROM pg_stat_xact_user_tables"


@dataclass(frozen=True)
class Kind:
    """What one kind asks in a turn; ``rows`` is None where the database does not count them."""

    name: str
    seconds: float
    growth_mb: float
    statements: int
    rows: int | None
    letters: int


@dataclass(frozen=True)
class Letters:
    """A first turn, in which everything owed is written, and the one half an hour later."""

    database: str
    fans: int
    owners: int
    checks: int
    slips: int
    advice: int
    first_written: int
    first_seconds: float
    turn_written: int
    turn_seconds: float
    kinds: list[Kind]


def measure_letters(*, fans: int, tell: Tell, **_: object) -> Letters:
    """Fill the database that Django points at and measure two turns on it.

    Raises ValueError for a fleet that is neither a sample nor made of several.
    """
    if fans > SAMPLE and fans % SAMPLE:
        raise ValueError(f"{fans} fans cannot be made of {SAMPLE}; ask for a multiple of that")
    _fill(fans, tell)
    tell("Writing all that is owed …")
    first, first_s = timed(lambda: write_notices(now=NOW))
    tell("Measuring the turn after it …")
    kinds = [_measured(kind) for kind in KINDS]
    turn, turn_s = timed(lambda: write_notices(now=NOW + TURN))
    return Letters(
        database=connection.vendor,
        fans=Fan.objects.count(),
        owners=Owner.objects.count(),
        checks=Check.objects.count(),
        slips=MadeSafe.objects.count(),
        advice=Recommendation.objects.count(),
        first_written=first.notices,
        first_seconds=first_s,
        turn_written=turn.notices,
        turn_seconds=turn_s,
        kinds=kinds,
    )


def _fill(fans: int, tell: Tell) -> None:
    tell(f"Inventing {min(fans, SAMPLE)} fans with two years of records …")
    sample = fill_sample(min(fans, SAMPLE), sites_per_owner=SITES_PER_OWNER)
    with transaction.atomic():
        advise(sample)
        raise_revisions(sample)
        reckon_fans(fan_ids=sample, now=NOW)
    tell(f"Putting them down again until there are {fans} …")
    stamp_out(TABLES, fans // SAMPLE - 1)
    staff_and_letters(NOW)
    tidy()


def _measured(kind: Callable[[datetime], Iterable[object]]) -> Kind:
    """One kind's questions, twice asked: what is loaded and compiled once is no turn's cost."""
    _letters(kind)
    _forget_peak()
    before, _ = memory_mb()
    with _counting() as counted:
        letters, seconds = timed(lambda: _letters(kind))
    _, most = memory_mb()
    name = getattr(kind, "__name__", "").removesuffix("_letters")
    return Kind(name, seconds, most - before, counted.statements, counted.rows, letters)


def _letters(kind: Callable[[datetime], Iterable[object]]) -> int:
    return sum(1 for _ in kind(NOW + TURN))


@dataclass
class Counted:
    """What the database was asked, and how many rows it read for that."""

    statements: int = 0
    rows: int | None = None


@contextmanager
def _counting() -> Iterator[Counted]:
    counted = Counted()
    with transaction.atomic():
        before = _rows_read()
        with CaptureQueriesContext(connection) as asked:
            yield counted
        counted.statements = len(asked)
        if before is not None:
            counted.rows = (_rows_read() or 0) - before


def _rows_read() -> int | None:
    """Rows that this transaction has read so far; None where the database does not count them."""
    if connection.vendor != "postgresql":
        return None
    with connection.cursor() as cursor:
        cursor.execute(READ)
        return int(cursor.fetchone()[0] or 0)


def _forget_peak() -> None:
    if PEAK.exists():
        PEAK.write_text(CLEAR_PEAK)
