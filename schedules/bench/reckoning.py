"""How fast and how lean a whole pass over the fleet is, against reading alone and plainer ways."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import datetime
from functools import partial

from django.conf import settings
from django.db import connection

from schedules.bench import variants
from schedules.bench.engines import batch_to_scalar, slopes_to_scipy
from schedules.bench.filling import SAMPLE, fill_sample, fill_up
from schedules.bench.measuring import ROUNDS, medians, memory_mb
from schedules.bench.proof import compare
from schedules.bench.scratch import tidy
from schedules.due.answers import ANSWER
from schedules.due.reading import BLOCK
from schedules.due.reckoning import reckon_fleet

PLAIN_FANS = 400
CHANGED = 30
"""One fan in so many is changed or dirty: 3.3 %."""

DISTURB = {
    "postgresql": "due_on = due_on - 1",
    "sqlite": "due_on = date(due_on, '-1 day')",
}
Tell = Callable[[str], None]


@dataclass(frozen=True)
class Grown:
    """One pass of a process of its own."""

    fans: int
    seconds: float
    rss_growth_mb: float


@dataclass(frozen=True)
class Figures:
    """What one run found; ratios are of medians, taken in turns within this run.

    ``ratio_to_read`` is a full pass with 3.3 % of the rows changed over reading the same columns,
    ``ratio_all_changed`` one with every row changed as by a first reckoning, ``ratio_all_moved``
    one with every known date moved, which is also logged.  ``times_naive`` and ``times_prefetch``
    say how many times longer the plain and the prefetched loop take, ``incremental_share`` what a
    pass over 3.3 % dirty fans takes of a full one.  ``rss_ratio`` compares with a tenth of the
    fleet, None where that is too small to tell.
    """

    database: str
    fans: int
    sample: int
    seconds_full: float
    seconds_read: float
    ratio_to_read: float
    ratio_all_changed: float
    ratio_all_moved: float
    times_naive: float
    times_prefetch: float
    incremental_share: float
    rss_growth_mb: float
    rss_ratio: float | None
    equal_to_oracle: bool
    differences: int
    oracle_fans: int
    batch_to_scalar: float
    slopes_to_scipy: float


def measure_reckoning(
    *, fans: int, all_changed: bool, address: str, now: datetime, tell: Tell
) -> Figures:
    """Fill the database that Django points at with an invented fleet and measure on it.

    ``address`` is that database's, for processes of its own; ``all_changed`` makes the full pass
    itself one over changed rows only.
    """
    sample, few = _filled(fans, address, now, tell)
    tell("Comparing the sample with each fan reckoned alone …")
    proof = compare(sample)
    tell(f"Measuring, {ROUNDS} rounds …")
    taken = _timed(sample, now, all_changed)
    tell("Measuring memory in a process of its own …")
    _disturb(CHANGED)
    grown = pass_apart(address)
    full = taken["full"]
    return Figures(
        database=connection.vendor,
        fans=fans,
        sample=len(sample),
        seconds_full=full,
        seconds_read=taken["read"],
        ratio_to_read=full / taken["read"],
        ratio_all_changed=taken["all_changed"] / taken["read"],
        ratio_all_moved=taken["all_moved"] / taken["read"],
        times_naive=taken["naive"] / len(_share(sample, PLAIN_FANS)) * fans / full,
        times_prefetch=taken["prefetch"] / len(_share(sample, SAMPLE)) * fans / full,
        incremental_share=taken["incremental"] / full,
        rss_growth_mb=grown.rss_growth_mb,
        rss_ratio=grown.rss_growth_mb / few.rss_growth_mb if few else None,
        equal_to_oracle=proof.differences == 0,
        differences=proof.differences,
        oracle_fans=proof.oracle_fans,
        batch_to_scalar=batch_to_scalar(),
        slopes_to_scipy=slopes_to_scipy(),
    )


def pass_here(now: datetime) -> Grown:
    """One full pass over the database as it is, with how far this process grew."""
    connection.ensure_connection()
    before, _ = memory_mb()
    report = reckon_fleet(now=now, only_stale=False)
    _, most = memory_mb()
    return Grown(report.fans, report.seconds, most - before)


def pass_apart(address: str) -> Grown:
    """``pass_here`` in a fresh process, whose memory nothing else has stretched."""
    done = subprocess.run(
        [sys.executable, "-m", "django", "bench", "pass", "--json"],
        env={**os.environ, "DATABASE_URL": address, "DJANGO_SETTINGS_MODULE": "config.settings"},
        cwd=settings.BASE_DIR,
        check=True,
        capture_output=True,
        text=True,
    )
    return Grown(**json.loads(done.stdout))


def _filled(fans: int, address: str, now: datetime, tell: Tell) -> tuple[list[int], Grown | None]:
    """The sample's ids, and the pass over a tenth of the fleet where that is some blocks."""
    tell(f"Inventing {min(fans, SAMPLE)} fans with all their records …")
    sample = fill_sample(min(fans, SAMPLE))
    few = None
    if fans // 10 >= 2 * BLOCK:
        fill_up(fans // 10)
        _settle(now)
        _disturb(CHANGED)
        few = pass_apart(address)
    tell(f"Inventing the histories of {fans} fans …")
    fill_up(fans)
    _settle(now)
    return sample, few


def _settle(now: datetime) -> None:
    reckon_fleet(now=now, only_stale=False)
    tidy()


def _timed(sample: list[int], now: datetime, all_changed: bool) -> dict[str, float]:
    full = partial(reckon_fleet, now=now, only_stale=False)
    few, all_rows = partial(_disturb, CHANGED), partial(_disturb, 1, known=False)
    works: dict[str, Callable[[], object]] = {
        "read": variants.read_and_discard,
        "full": full,
        "incremental": partial(reckon_fleet, now=now),
        "all_changed": full,
        "all_moved": full,
        "naive": partial(variants.reckon_each, _share(sample, PLAIN_FANS)),
        "prefetch": partial(variants.reckon_prefetched, _share(sample, SAMPLE)),
    }
    return medians(
        works,
        {
            "read": tidy,
            "full": all_rows if all_changed else few,
            "incremental": few,
            "all_changed": all_rows,
            "all_moved": partial(_disturb, 1),
        },
    )


def _share(sample: list[int], fans: int) -> list[int]:
    """What one round of several takes of a sample, spread over it."""
    count = max(1, min(fans, len(sample)) // ROUNDS)
    return sample[:: max(1, len(sample) // count)][:count]


def _disturb(one_in: int, *, known: bool = True) -> None:
    """Make one stored answer in so many another one, and its fan one to be reckoned.

    An answer that was ``known`` goes into the log of what moved; a first one is no move.
    """
    values = f"dates = %s, reckoned_revision = {'reckoned_revision + 1' if known else '0'}"
    moved = DISTURB[connection.vendor]
    with connection.cursor() as cursor:
        cursor.execute(
            f"UPDATE schedules_duestate SET {values}, {moved} WHERE fan_id %% {one_in} = 0",  # noqa: S608  # constants
            [bytes(ANSWER.itemsize)],
        )
    # What is measured is the pass, not the litter of disturbing.
    tidy()


def told(figures: Figures | Grown) -> str:
    """The figures for reading, one to a line."""
    lines = []
    for name, value in asdict(figures).items():
        shown = f"{value:.3g}" if isinstance(value, float) else str(value)
        lines.append(f"{name.replace('_', ' '):20} {shown}")
    return "\n".join(lines)
