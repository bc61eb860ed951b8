"""Ways looked over: what lacks, what differs by direction, what a detour would shorten."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from schedules.engine.rounds.travel import great_circle_m
from schedules.models import TravelPlace, TravelTime
from schedules.rounds.ways.places import Key, Places, has_moved

UNLIKE_SHARE, UNLIKE_MIN = 0.25, 3.0
"""Two ways differ if by more than this share of the shorter and so many minutes.  Our choice."""
DETOUR_SHARE = 0.10
"""A way is doubtful if another place on it would save more than this share, and UNLIKE_MIN."""
STRAIGHT_SHARE = 0.95
"""No road is shorter than this share of the great circle, which a sphere has wrong by 0.6 %."""
Way = tuple[Key, Key]
Ways = Mapping[Way, tuple[float, float]]


@dataclass(frozen=True, eq=False)
class Looked:
    """Ways that hold (minutes and metres) among the places there are.

    ``moved`` are places that are elsewhere than when their ways were told: those hold no more.
    """

    places: Places
    ways: Ways
    moved: tuple[Key, ...] = ()

    @cached_property
    def keys(self) -> list[Key]:
        return sorted(self.places.positions)

    @property
    def wanted(self) -> int:
        """How many ways there are among all places."""
        return len(self.keys) * (len(self.keys) - 1)

    def gaps(self) -> Iterator[Way]:
        """Ways that nobody told; planning estimates them."""
        for start in self.keys:
            for end in self.keys:
                if start != end and (start, end) not in self.ways:
                    yield start, end

    @cached_property
    def unlike(self) -> list[tuple[Way, float, float]]:
        """Ways whose two directions differ much, with both [min], the worst first."""
        found = [
            ((start, end), there, self.ways[end, start][0])
            for (start, end), (there, _metres) in self.ways.items()
            if start < end and (end, start) in self.ways
        ]
        differ = [each for each in found if _differ(each[1], each[2])]
        return sorted(differ, key=lambda each: -abs(each[1] - each[2]))

    @cached_property
    def longer(self) -> list[tuple[Way, Key, float]]:
        """Ways that take longer than over another place, which, and by how much [min]."""
        minutes = self.minutes
        best, over = minutes.copy(), np.full(minutes.shape, -1)
        for node in range(len(minutes)):
            through = minutes[:, node, None] + minutes[None, node]
            better = through < best
            best[better], over[better] = through[better], node
        saved = np.where(np.isfinite(minutes), minutes, 0) - np.where(np.isfinite(minutes), best, 0)
        rows = np.argwhere((saved > DETOUR_SHARE * best) & (saved > UNLIKE_MIN))
        told = [
            ((self.told[i], self.told[j]), self.told[over[i, j]], float(saved[i, j]))
            for i, j in rows
        ]
        return sorted(told, key=lambda each: -each[2])

    @cached_property
    def short(self) -> list[tuple[Way, float, float]]:
        """Ways with a distance shorter than the great circle, and both [m], the worst first."""
        ways, at = list(self.ways), self.places.positions
        straight = great_circle_m(
            np.array([at[start] for start, _end in ways]).reshape(-1, 2),
            np.array([at[end] for _start, end in ways]).reshape(-1, 2),
        )
        found = [
            (way, self.ways[way][1], float(metres))
            for way, metres in zip(ways, straight, strict=True)
            if self.ways[way][1] < STRAIGHT_SHARE * metres
        ]
        return sorted(found, key=lambda each: each[1] - each[2])

    @cached_property
    def told(self) -> list[Key]:
        """Places that some way is told of: of a large fleet few, and detours go over no others."""
        return sorted({key for way in self.ways for key in way})

    @property
    def minutes(self) -> NDArray[np.float64]:
        """Ways between ``told`` places, shape (told, told) [min]; infinite where nobody told."""
        number = {key: at for at, key in enumerate(self.told)}
        told = np.full((len(number), len(number)), np.inf)
        for (start, end), (minutes, _metres) in self.ways.items():
            told[number[start], number[end]] = minutes
        return told


def look_over(places: Places, more: Ways | None = None) -> Looked:
    """What is on record, and ``more`` over it; two queries."""
    rows = {row.pk: row for row in TravelPlace.objects.order_by() if row.key in places.positions}
    moved = {row.key for row in rows.values() if has_moved(row, places.positions[row.key])}
    hold = {pk: row.key for pk, row in rows.items() if row.key not in moved}
    found = TravelTime.objects.order_by().values_list("start_id", "end_id", "minutes", "metres")
    ways = {
        (hold[start], hold[end]): (minutes, metres)
        for start, end, minutes, metres in found.iterator()
        if start in hold and end in hold
    }
    told_anew = {key for way in more or () for key in way}
    return Looked(places, {**ways, **(more or {})}, tuple(sorted(moved - told_anew)))


def _differ(there: float, back: float) -> bool:
    apart = abs(there - back)
    return apart > UNLIKE_MIN and apart > UNLIKE_SHARE * min(there, back)
