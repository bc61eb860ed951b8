"""Find what keeps failing over the whole fleet: raise, bring up to date, let lapse."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, fields
from datetime import date, datetime
from math import isfinite
from typing import Any

from config.collisions import in_one_transaction, one_snapshot
from schedules.engine.failures.recurring import DEFAULT_RECURRING, RecurringParams, recurring
from schedules.models import Pattern, PatternClosing
from schedules.patterns.causes_told import follow_causes
from schedules.patterns.fleet import Fleet, read_fleet
from schedules.patterns.tallied import keep_tallies
from visits.losses import Key

State = Pattern.State
EVIDENCE = ("failures", "first_on", "last_on", "found_on")
COLUMNS = (*EVIDENCE, "closest_days", "again_soon", "by_rate", "figures", "as_of")
WRITTEN = (*COLUMNS, "state", "raised_at", "changed_at")


@dataclass(frozen=True)
class PatternsFound:
    """What a turn came to; ``open`` are those that stand open after it.

    ``followed`` were closed by a cause that a visit told, or opened where that was taken back;
    ``tallied`` are rows written that count by item, model and site.
    """

    fans: int
    losses: int
    raised: int
    raised_again: int
    updated: int
    lapsed: int
    followed: int
    tallied: int
    open: int


@dataclass(frozen=True)
class Figures:
    """A position's failures of an item beside those of its class; None where nothing tells."""

    years: float
    others: int
    others_years: float
    ratio: float | None
    lower: float | None
    upper: float | None
    chance: float
    discovery: float
    motor_type: str
    drive: str


def find_patterns(*, now: datetime, params: RecurringParams = DEFAULT_RECURRING) -> PatternsFound:
    """Bring the patterns on record up to the failures on record; again at once changes nothing.

    A pattern that somebody closed stays so until a failure of that item is found on a later day.
    One whose failures were corrected away lapses; time alone closes none, a cause told on a visit
    does.  Nobody waits while the fleet is read.
    """
    with one_snapshot():
        fleet = read_fleet(now)
    return _keep(fleet, dict(_seen(fleet, params)), now, params)


@in_one_transaction
def _keep(
    fleet: Fleet, seen: Mapping[Key, dict[str, Any]], now: datetime, params: RecurringParams
) -> PatternsFound:
    rows = Pattern.objects.select_for_update().order_by("pk")
    known = {(row.fan_id, row.item): row for row in rows}
    new = [
        Pattern(fan_id=fan, item=item, raised_at=now, changed_at=now, **each)
        for (fan, item), each in seen.items()
        if (fan, item) not in known and _holds(each)
    ]
    moved = {key: _move(row, seen.get(key), now) for key, row in known.items()}
    Pattern.objects.bulk_create(new, batch_size=500)
    changed = [known[key] for key, what in moved.items() if what]
    Pattern.objects.bulk_update(changed, WRITTEN, batch_size=500)
    lapsed = [row for row in changed if row.state == State.LAPSED]
    closings = [PatternClosing(pattern=row, closed_at=now, failures=row.failures) for row in lapsed]
    PatternClosing.objects.bulk_create(closings, batch_size=500)
    counted = Counter(moved.values())
    standing = [*known.values(), *new]
    followed = follow_causes(standing, now, counted=True)
    return PatternsFound(
        fans=len(fleet.fan_ids),
        losses=len(fleet.told),
        raised=len(new),
        raised_again=counted["again"],
        updated=counted["updated"],
        lapsed=len(lapsed),
        followed=followed,
        tallied=keep_tallies(fleet, params),
        open=sum(row.is_open for row in standing),
    )


def _holds(seen: Mapping[str, Any]) -> bool:
    return bool(seen["again_soon"] or seen["by_rate"])


def _move(row: Pattern, seen: Mapping[str, Any] | None, now: datetime) -> str:
    """Change the row to what is seen, and say which way; empty where nothing changes."""
    if not row.is_open:
        newer = seen and (row.state == State.LAPSED or seen["found_on"] > row.found_on)
        if not (seen and newer and _holds(seen)):
            return ""
        _lay(row, {**seen, "state": State.OPEN, "raised_at": now, "changed_at": now})
        return "again"
    if seen and all(getattr(row, name) == seen[name] for name in EVIDENCE):
        return ""
    if seen and (_holds(seen) or not _gave_way(row, seen)):
        _lay(row, {**seen, "changed_at": now})
        return "updated"
    _lay(row, {"state": State.LAPSED, "changed_at": now})
    return "lapsed"


def _gave_way(row: Pattern, seen: Mapping[str, Any]) -> bool:
    """Whether what the row rested on is no longer on record, rather than the fleet having moved."""
    return bool(seen["failures"] < row.failures or (row.again_soon and not row.by_rate))


def _lay(row: Pattern, values: Mapping[str, Any]) -> None:
    for name, value in values.items():
        setattr(row, name, value)


def _seen(fleet: Fleet, params: RecurringParams) -> Iterator[tuple[Key, dict[str, Any]]]:
    """By fan and item, what a row is to hold of all that failed twice or more."""
    found_on: dict[Key, date] = {}
    for loss in fleet.told:
        key = loss.fan, loss.item
        found_on[key] = max(loss.found_on, found_on.get(key, loss.found_on))
    told = recurring(fleet.losses, fleet.years, fleet.fan_class, params)
    columns = zip(*(getattr(told, field.name).tolist() for field in fields(told)), strict=True)
    names = [field.name for field in fields(told)]
    for row in columns:
        each = dict(zip(names, row, strict=True))
        key = int(fleet.fan_ids[each["fan"]]), fleet.items[each["item"]]
        motor_type, drive = fleet.classes[fleet.fan_class[each["fan"]]]
        yield (
            key,
            {
                "failures": each["failures"],
                "first_on": date.fromordinal(each["first_day"]),
                "last_on": date.fromordinal(each["last_day"]),
                "found_on": found_on[key],
                "closest_days": each["closest_days"],
                "again_soon": each["again_soon"],
                "by_rate": each["holds_by_rate"],
                "figures": asdict(_figures(each, motor_type, drive)),
                "as_of": fleet.today,
            },
        )


def _figures(each: Mapping[str, Any], motor_type: str, drive: str) -> Figures:
    told = {name: each[name] for name in ("ratio", "lower", "upper")}
    return Figures(
        years=round(each["years"], 2),
        others=each["others"],
        others_years=round(each["others_years"], 4),
        chance=each["chance"],
        discovery=each["discovery"],
        motor_type=motor_type,
        drive=drive,
        **{name: value if isfinite(value) else None for name, value in told.items()},
    )
