"""What finding patterns costs over a whole fleet, beside reading the same columns."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from django.db import connection, transaction
from django.db.models import Model

from fleet.models import ExhaustSystem, Fan, Machine, Owner, Site
from schedules.bench.filling import SAMPLE, fill_sample
from schedules.bench.fleet import START, random_for, store
from schedules.bench.lives import DAYS_TOLD
from schedules.bench.measuring import medians, timed
from schedules.bench.scratch import tidy
from schedules.bench.stamping import stamp_out
from schedules.models import Pattern
from schedules.patterns.finding import find_patterns
from schedules.patterns.fleet import fan_rows, machine_rows
from schedules.patterns.watched import first_visit_rows
from visits.losses import loss_rows
from visits.models import Action, Check, Finding, Visit

Tell = Callable[[str], None]
TABLES = (Owner, Site, ExhaustSystem, Fan, Machine, Visit, Check, Action, Finding)
ITEMS = ("switch", "motor", "capacitor", "belt", "bearings")
LOSSES_A_DAY = 0.3 / 365.25
"""For each fan, as where nothing of a fan's own is known."""
SITES_PER_OWNER = 10
NOW = datetime.combine(START + timedelta(days=DAYS_TOLD), time(18), UTC)


@dataclass(frozen=True)
class Patterns:
    """``ratio_to_read``: a turn that finds nothing new over reading its columns, medians.

    ``first_seconds`` is the turn that raised all patterns there are.
    """

    database: str
    fans: int
    losses: int
    patterns: int
    written_again: int
    read_seconds: float
    turn_seconds: float
    ratio_to_read: float
    first_seconds: float


def measure_patterns(*, fans: int, tell: Tell, **_: object) -> Patterns:
    """Fill the database that Django points at and measure turns on it.

    Raises ValueError for a fleet that is neither a sample nor made of several.
    """
    if fans > SAMPLE and fans % SAMPLE:
        raise ValueError(f"{fans} fans cannot be made of {SAMPLE}; ask for a multiple of that")
    tell(f"Inventing {min(fans, SAMPLE)} fans with two years of records …")
    sample = fill_sample(min(fans, SAMPLE), sites_per_owner=SITES_PER_OWNER)
    with transaction.atomic():
        _fail(sample)
    tell(f"Putting them down again until there are {fans} …")
    stamp_out(TABLES, fans // SAMPLE - 1)
    tidy()
    tell("Measuring …")
    first, first_s = timed(lambda: find_patterns(now=NOW))
    later = NOW + timedelta(days=1)
    taken = medians({"read": _read, "turn": lambda: find_patterns(now=later)}, {})
    again = find_patterns(now=later)
    return Patterns(
        database=connection.vendor,
        fans=first.fans,
        losses=first.losses,
        patterns=Pattern.objects.count(),
        written_again=again.raised
        + again.raised_again
        + again.updated
        + again.lapsed
        + again.followed
        + again.tallied,
        read_seconds=taken["read"],
        turn_seconds=taken["turn"],
        ratio_to_read=taken["turn"] / taken["read"],
        first_seconds=first_s,
    )


def _read() -> None:
    for rows in (loss_rows(), fan_rows(), machine_rows(), first_visit_rows()):
        for _row in rows:
            pass


def _fail(sample: list[int]) -> None:
    """Losses of function at random days, each found and mended by a visit of its own."""
    rows: dict[type[Model], list[Model]] = {Visit: [], Finding: [], Action: []}
    for fan in Fan.objects.filter(pk__in=sample).select_related("site"):
        for day, item in _losses(fan.pk):
            visit = _visit(fan, day)
            rows[Visit].append(visit)
            rows[Finding].append(Finding(
                visit=visit, fan=fan, subject=item, item=item, severity="critical",
                verdict="stop", loss_of_function=True,
            ))  # fmt: skip
            rows[Action].append(Action(visit=visit, fan=fan, kind="replaced", item=item))
    for each in rows.values():
        store(each)


def _losses(fan_id: int) -> Iterator[tuple[date, str]]:
    rng = random_for("failing", fan_id)
    day = rng.expovariate(LOSSES_A_DAY)
    while day < DAYS_TOLD:
        yield START + timedelta(days=int(day)), rng.choice(ITEMS)
        day += 1 + rng.expovariate(LOSSES_A_DAY)


def _visit(fan: Fan, day: date) -> Visit:
    began = datetime.combine(day, time(10), fan.site.zone)
    return Visit(
        kind="service_call", site=fan.site, began_at=began, local_on=day, received_at=began,
        payload_sha256="0" * 64,
    )  # fmt: skip
