"""The rows that dates rest on, so far as their sentences quote them: read for a list, or at hand.

Whoever has read a fan's truth (schedules.due.truth) has them; a list reads them in one statement,
of the days that its lines speak of.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Model, Q

from config.questions import Part, Question, Row
from fleet.models import Fan, Feed, Machine
from visits.judging import FEED_COLUMNS, PLATE_COLUMNS
from visits.models import Check, Finding
from visits.models.visits import superseded

Grouped = Mapping[int, list[Row]]
Days = Iterable[date]

VISIT_COLUMNS = (
    "visit_id", "visit__local_on", "visit__local_minute", "visit__began_at", "visit__kind",
    "visit__here",
)  # fmt: skip
PLACE_COLUMNS = ("id", "tag", "site__surroundings")
MACHINE_COLUMNS = ("id", "fan_id", "installed_on", "removed_on", *PLATE_COLUMNS)
FEED_IN_TIME = ("id", "fan_id", "valid_from", *FEED_COLUMNS)
NOTE_COLUMNS = ("subject", "item", "verdict", "note")


@dataclass(frozen=True)
class Behind:
    """Fans, and by fan what stood, was read and was written down there; visits in time order."""

    fans: Sequence[Row]
    machines: Grouped
    feeds: Grouped
    checks: Grouped
    findings: Grouped


def check_columns() -> tuple[str, ...]:
    """All that a check tells, but for what nothing is reckoned from or its visit tells as well."""
    skipped = {"id", "visit", "fan", "notes", "switch_left", "began_at"}
    return tuple(f.attname for f in Check._meta.concrete_fields if f.name not in skipped)


def visited(model: type[Model], *columns: str, which: Any = None) -> Part:
    """Rows that hang on a visit nobody superseded, in the order the visits began.

    ``which`` gives the condition that narrows them; without it they are all of the fans'.
    """
    chosen = which or (lambda given: Q(fan__among=given["fans"]))
    return lambda given: (
        model._default_manager.filter(~superseded("visit"), chosen(given))
        .order_by("visit__began_at", "visit_id", "id")
        .values("id", "fan_id", *VISIT_COLUMNS, *columns)
    )


def of_fans(model: type[Model], *columns: str) -> Part:
    """Rows of the register that hang on fans."""
    return lambda given: (
        model._default_manager.filter(fan__among=given["fans"]).order_by("id").values(*columns)
    )


def _on_days(given: Mapping[str, Any]) -> Q:
    return Q(fan__among=given["fans"], visit__local_on__among=given["days"])


def _on_days_or_since(given: Mapping[str, Any]) -> Q:
    return _on_days(given) | Q(
        fan__among=given["later_fans"], visit__local_on__since=given["since"]
    )


BEHIND = Question(
    ["fans", "days", "later_fans", "since"],
    fans=lambda given: (
        Fan.objects.filter(pk__among=given["fans"]).order_by("id").values(*PLACE_COLUMNS)
    ),
    machines=of_fans(Machine, *MACHINE_COLUMNS),
    feeds=of_fans(Feed, *FEED_IN_TIME),
    checks=visited(Check, *check_columns(), which=_on_days_or_since),
    findings=visited(Finding, *NOTE_COLUMNS, which=_on_days),
)


def read_behind(days: Mapping[int, Days], since: Mapping[int, date], more: Iterable[int]) -> Behind:
    """What lies behind dates, in one statement.

    ``days`` are by fan the days on which something was read, ``since`` the day from which all
    looks of a fan count; of ``more`` fans only where they stand and what is installed is wanted.
    """
    found = BEHIND.ask(
        fans=sorted({*days, *since, *more}),
        days=sorted({day for each in days.values() for day in each}),
        later_fans=sorted(since),
        since=sorted(since.values())[:1],
    )
    return Behind(found["fans"], *(grouped("fan_id", found[name]) for name in OF_FAN))


OF_FAN = ("machines", "feeds", "checks", "findings")
"""Parts of ``Behind`` that go by fan, in its order."""


def grouped(key: str, rows: Iterable[Row]) -> dict[int, list[Row]]:
    """Rows by what they have in the column ``key``."""
    found: dict[int, list[Row]] = defaultdict(list)
    for row in rows:
        found[row[key]].append(row)
    return found
