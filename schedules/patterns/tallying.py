"""Failures counted by item, machine model and site beside the positions, out of the same columns.

Nothing is read anew: what ``find_patterns`` holds of the fleet is grouped, compared and told.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from math import isfinite
from typing import Any

import numpy as np

from schedules.engine.failures.cumulative import mean_cumulative_of
from schedules.engine.failures.discovery import false_discovery
from schedules.engine.failures.groups import (
    FEWEST_POSITIONS,
    Grouped,
    GroupLosses,
    Spells,
    courses,
    held_against_others,
)
from schedules.engine.failures.rates import compare_rates, rate_interval
from schedules.engine.failures.recurring import FEWEST, RecurringParams
from schedules.engine.series import Ints
from schedules.models import FailureTally
from schedules.patterns.fleet import DAYS_A_YEAR, Fleet

By = FailureTally.By
Row = dict[str, Any]
ANY = ""
"""Any item: a fan that lost its function on a day failed once, whatever was found broken."""
RECENT_YEARS = 1
"""Each item's last year is held against the time before; our choice."""
MOST_POINTS = 48
FEWEST_WATCHED = 2
LEAST_SHARE = 0.05
"""The curve ends where fewer than so many, or such a share of the fleet, are watched so long."""
COMPARED = ("ratio", "lower", "upper", "chance", "discovery")
COURSE = ("shape", "shape_lower", "shape_upper", "p")


@dataclass(frozen=True)
class Failed:
    """The fleet's failures, each item's and then those of any item, of one day once.

    Shape (failures,): ``machine`` is the one that failed, -1 where none is on record.
    """

    fan: Ints
    item: Ints
    day: Ints
    machine: Ints
    items: tuple[str, ...]

    @staticmethod
    def of(fleet: Fleet) -> Failed:
        losses = fleet.losses
        fan, day = np.tile(losses.fan, 2), np.tile(losses.day, 2)
        item = np.append(losses.item, np.full(len(losses.item), len(fleet.items), np.int64))
        # One number each: sorting rows of three takes ten times as long.
        one = (fan * (len(fleet.items) + 1) + item) * (date.max.toordinal() + 1) + day
        _, first = np.unique(one, return_index=True)
        machine = np.tile(fleet.machines.that_failed(losses), 2)
        return Failed(
            fan[first], item[first], day[first], machine[first], (*fleet.items, ANY)
        )  # fmt: skip

    def where(self, kept: Any) -> Failed:
        """The failures that ``kept`` picks, a mask or places."""
        return Failed(
            self.fan[kept], self.item[kept], self.day[kept], self.machine[kept], self.items
        )


def tallies(fleet: Fleet, params: RecurringParams) -> Iterator[Row]:
    """What rows are to hold of all that failed twice or more in a group."""
    if not len(fleet.losses.fan):
        return
    failed = Failed.of(fleet)
    yield from _by_item(fleet, failed, params)
    yield from _by_site(fleet, failed, params)
    yield from _by_model(fleet, failed, params)


def _by_site(fleet: Fleet, failed: Failed, params: RecurringParams) -> Iterator[Row]:
    ids, site = np.unique(fleet.sites, return_inverse=True)
    losses = _of_fans(fleet, failed, site)
    told = held_against_others(losses, Spells(site, fleet.fan_class, fleet.years), params)
    for group, row in _rows(fleet, failed, losses, told):
        yield {"by": By.SITE, "model": "", "site_id": int(ids[group]), **row}


def _of_fans(fleet: Fleet, failed: Failed, group: Ints) -> GroupLosses:
    """By groups of positions, shape (fans,)."""
    since = fleet.since[failed.fan]
    share = (failed.day - since + 0.5) / (fleet.end - since)
    return GroupLosses(
        group[failed.fan], failed.item, fleet.fan_class[failed.fan], failed.fan, share
    )


def _by_model(fleet: Fleet, failed: Failed, params: RecurringParams) -> Iterator[Row]:
    """Each machine for as long as it stood where we watched."""
    stood, failed = fleet.machines, failed.where(failed.machine >= 0)
    start = np.maximum(stood.placed, fleet.since[stood.fan])
    days = np.maximum(np.minimum(stood.removed, fleet.end) - start, 1)
    which = failed.machine
    # found dead after the machine had gone, or known of before it was put in
    share = np.clip((failed.day - start[which] + 0.5) / days[which], 0.5 / days[which], 1.0)
    losses = GroupLosses(
        stood.model[which], failed.item, stood.of_class[which], failed.fan, share
    )  # fmt: skip
    spells = Spells(stood.model, stood.of_class, days / DAYS_A_YEAR)
    for group, row in _rows(fleet, failed, losses, held_against_others(losses, spells, params)):
        yield {"by": By.MODEL, "model": stood.models[group], "site_id": None, **row}


def _by_item(fleet: Fleet, failed: Failed, params: RecurringParams) -> Iterator[Row]:
    """The whole fleet's, the last year held against the time before."""
    losses = _of_fans(fleet, failed, np.zeros(len(fleet.fan_ids), np.int64))
    count = np.bincount(failed.item)
    recent = failed.day > fleet.today.toordinal() - RECENT_YEARS * DAYS_A_YEAR
    lately = np.bincount(failed.item[recent], minlength=len(count))
    years = float(np.minimum(fleet.years, RECENT_YEARS).sum())
    before = float(fleet.years.sum()) - years
    items = np.flatnonzero(count)
    found = compare_rates(
        lately[items], years, (count - lately)[items], before if before > 0 else 1.0
    )
    chance = np.where(before > 0, found.p_greater, 1.0)
    discovery = false_discovery(chance)
    fans = len(fleet.fan_ids)
    positions = np.bincount(np.unique(failed.item * fans + failed.fan) // fans)[items]
    told = Grouped(
        group=np.zeros(len(items), np.int64),
        item=items,
        failures=count[items],
        positions=positions,
        years=np.full(len(items), fleet.years.sum()),
        compared=lately[items],
        others=(count - lately)[items],
        others_years=np.full(len(items), before),
        ratio=np.where(before > 0, found.ratio, np.nan),
        lower=np.where(before > 0, found.lower, 0.0),
        upper=np.where(before > 0, found.upper, np.inf),
        chance=chance,
        discovery=discovery,
        stands_out=(discovery <= params.false_share) & (positions >= FEWEST_POSITIONS),
    )
    for _, row in _rows(fleet, failed, losses, told):
        if row["failures"] >= FEWEST:
            yield {"by": By.ITEM, "model": "", "site_id": None, **row}


def _rows(
    fleet: Fleet, failed: Failed, losses: GroupLosses, told: Grouped
) -> Iterator[tuple[int, Row]]:
    """By group, what its rows hold of each item."""
    if not len(told.group):
        return
    pairs, width = len(told.group), len(failed.items)
    pair = _places(told.group * width + told.item, losses.group * width + losses.item)
    inside = (losses.group >= 0) & (pair >= 0)
    last = np.zeros(pairs, np.int64)
    np.maximum.at(last, pair[inside], failed.day[inside])
    course = courses(pair[inside], losses.share[inside], pairs)
    rate = rate_interval(told.failures, told.years)
    columns = {
        "years": told.years, "rate_lower": rate.lower, "rate_upper": rate.upper,
        "compared": told.compared, "others": told.others, "others_years": told.others_years,
        **{name: getattr(told, name) for name in COMPARED},
        **{name: getattr(course, name) for name in COURSE},
    }  # fmt: skip
    figures = [
        dict(zip(columns, map(_told, row), strict=True))
        for row in zip(*(each.tolist() for each in columns.values()), strict=True)
    ]
    for at in range(pairs):
        yield (
            int(told.group[at]),
            {
                "item": failed.items[told.item[at]],
                "failures": int(told.failures[at]),
                "positions": int(told.positions[at]),
                "last_on": date.fromordinal(int(last[at])),
                "stands_out": bool(told.stands_out[at]),
                "figures": figures[at],
                "as_of": fleet.today,
            },
        )


def _told(value: float) -> float | None:
    """As a figure is stored: None where nothing tells."""
    if isinstance(value, int):
        return value
    return float(f"{value:.6g}") if isfinite(value) else None


def _places(ordered: Ints, keys: Ints) -> Ints:
    """Where each key stands in the ordered ones, -1 where it does not."""
    at = np.minimum(np.searchsorted(ordered, keys), len(ordered) - 1)
    return np.where(ordered[at] == keys, at, -1)


def curve(fleet: Fleet) -> Row | None:
    """How often a fan has failed by so long under watch; None where nothing failed."""
    if not len(fleet.losses.fan):
        return None
    failed = Failed.of(fleet)
    failed = failed.where(failed.item == len(fleet.items))
    since = fleet.since
    told = mean_cumulative_of(
        (failed.day - since[failed.fan]).astype(np.float64), failed.fan,
        (fleet.end - since).astype(np.float64),
    )  # fmt: skip
    fewest = max(FEWEST_WATCHED, LEAST_SHARE * len(since))
    kept = np.flatnonzero(told.at_risk >= fewest)
    if len(kept) > MOST_POINTS:
        kept = kept[np.linspace(0, len(kept) - 1, MOST_POINTS).astype(np.int64)]
    columns = [told.ages[kept] / DAYS_A_YEAR, told.at_risk[kept]]
    columns += [getattr(told, name)[kept] for name in ("mean", "lower", "upper")]
    points = zip(*(each.tolist() for each in columns), strict=True)
    return {
        "fans": len(since),
        "failures": len(failed.fan),
        "last_on": date.fromordinal(int(failed.day.max())),
        "points": [[_told(value) for value in row] for row in points],
        "as_of": fleet.today,
    }
