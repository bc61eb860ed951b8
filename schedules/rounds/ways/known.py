"""The ways on record among some places, as the planner is told them; great circles for the rest."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from schedules.engine import rounds as engine
from schedules.models import TravelPlace, TravelTime
from schedules.rounds.ways.places import Key, has_moved

Floats = NDArray[np.float64]
Nodes = NDArray[Any]


def _none() -> Floats:
    return np.zeros((0, 4))


@dataclass(frozen=True, eq=False)
class KnownWays:
    """Ways among ``places`` (their rows' ids by key) that hold.

    ``ways`` : float, shape (ways, 4): start, end, minutes, metres
    """

    places: Mapping[Key, int] = field(default_factory=dict)
    ways: Floats = field(default_factory=_none)

    def travel(
        self, keys: Sequence[Key], positions: Sequence[tuple[float, float]],
        params: engine.RoundsParams,
    ) -> engine.Travel:  # fmt: skip
        """Between the nodes that have these keys and positions, in their order."""
        estimated = engine.Travel.over(positions, params)
        if not len(self.ways):
            return estimated
        at, starts, ends = self._nodes(keys)
        minutes, metres = estimated.minutes.copy(), estimated.metres.copy()
        minutes[starts, ends] = self.ways[at, 2]
        metres[starts, ends] = self.ways[at, 3]
        return engine.Travel(minutes, metres)

    def count_estimated(self, legs: Iterable[tuple[Key, Key]]) -> int:
        """How many of the ways driven are on no record."""
        known = {(int(start), int(end)) for start, end, *_ in self.ways}
        return sum(
            (self.places.get(start), self.places.get(end)) not in known for start, end in legs
        )

    def _nodes(self, keys: Sequence[Key]) -> tuple[Nodes, Nodes, Nodes]:
        """Which ways are between these nodes, and from and to which."""
        starts, ends = self.ways[:, 0].astype(np.int64), self.ways[:, 1].astype(np.int64)
        node = np.full(max(starts.max(), ends.max()) + 1, -1, np.int64)
        for number, key in enumerate(keys):
            if (place := self.places.get(key)) is not None and place < len(node):
                node[place] = number
        at = (node[starts] >= 0) & (node[ends] >= 0)
        return at, node[starts[at]], node[ends[at]]


def read_known(positions: Mapping[Key, tuple[float, float]]) -> KnownWays:
    """What is on record among these places; two queries, one where nothing is.

    Ways of a place that has moved are left out.
    """
    places = {
        row.key: row.pk
        for row in TravelPlace.objects.order_by().iterator()
        if row.key in positions and not has_moved(row, positions[row.key])
    }
    if not places:
        return KnownWays()
    here = list(places.values())
    found = TravelTime.objects.order_by().filter(start__in=here, end__in=here)
    ways = list(found.values_list("start_id", "end_id", "minutes", "metres"))
    return KnownWays(places, np.array(ways, np.float64).reshape(-1, 4))
