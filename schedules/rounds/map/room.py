"""Where on a sheet there is room for words: nothing is written over, lines as little as may be."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from itertools import pairwise
from math import ceil, cos, dist, inf, radians, sin

from schedules.rounds.map.ground import Point

CELL_PX = 32.0
STEP_PX = 6.0
"""Lines count as points so far apart."""
AWAY_PX = (15.0, 22.0, 30.0, 40.0, 52.0, 66.0)
"""How far from its mark a number may stand, tried in this order; our choice."""
TURNS = tuple(range(-30, 330, 30))
"""Directions in which it may stand there [degrees from east, counter to the clock]."""
LINE_PX = 3.0
"""Standing on a line's point counts like standing so much further away; our choice."""

Box = tuple[float, float, float, float]
"""Left, top, right, bottom [px]."""
Cell = tuple[int, int]


def box_around(middle: Point, width: float, height: float) -> Box:
    """A box by its middle and size."""
    x, y = middle
    return x - width / 2, y - height / 2, x + width / 2, y + height / 2


def around(middle: Point) -> Iterator[tuple[float, Point]]:
    """Places for a number near its mark, with how far away they are."""
    for away in AWAY_PX:
        for turn in TURNS:
            angle = radians(turn)
            yield away, (middle[0] + away * cos(angle), middle[1] - away * sin(angle))


class Room:
    """What is on a sheet so far, by cells, so that asking takes the same time on a full one."""

    def __init__(self, width: float, height: float) -> None:
        self.width, self.height = width, height
        self._boxes: dict[Cell, list[Box]] = defaultdict(list)
        self._inked: dict[Cell, list[Point]] = defaultdict(list)

    def take(self, box: Box) -> None:
        """Take this place up: nothing else may stand there."""
        for cell in _cells(box):
            self._boxes[cell].append(box)

    def ink(self, line: Iterable[Point]) -> None:
        """A line passes here; better not to write on it."""
        for start, end in pairwise(line):
            count = max(1, ceil(dist(start, end) / STEP_PX))
            for n in range(count):
                x = start[0] + (end[0] - start[0]) * n / count
                y = start[1] + (end[1] - start[1]) * n / count
                self._inked[int(x // CELL_PX), int(y // CELL_PX)].append((x, y))

    def is_free(self, box: Box) -> bool:
        """Whether a box lies on the sheet and touches nothing that stands there."""
        left, top, right, bottom = box
        if left < 0 or top < 0 or right > self.width or bottom > self.height:
            return False
        return not any(_covers(box, other) for cell in _cells(box) for other in self._boxes[cell])

    def inked(self, box: Box) -> int:
        """How many points of lines lie under a box."""
        left, top, right, bottom = box
        return sum(
            left < x < right and top < y < bottom
            for cell in _cells(box)
            for x, y in self._inked[cell]
        )

    def best(
        self,
        tried: Iterable[tuple[float, Point]],
        width: float,
        height: float,
        most_ink: float = inf,
    ) -> Point | None:
        """Take the place that is nearest and has least ink below; None where none is free."""
        places: list[tuple[float, Point]] = []
        for away, middle in tried:
            box = box_around(middle, width, height)
            if self.is_free(box) and (ink := self.inked(box)) <= most_ink:
                places.append((away + LINE_PX * ink, middle))
        if not places:
            return None
        x, y = min(places, key=lambda each: each[0])[1]
        self.take(box_around((x, y), width, height))
        return round(x, 1), round(y, 1)


def _cells(box: Box) -> Iterator[Cell]:
    left, top, right, bottom = (int(edge // CELL_PX) for edge in box)
    return ((x, y) for x in range(left, right + 1) for y in range(top, bottom + 1))


def _covers(one: Box, other: Box) -> bool:
    across = one[0] < other[2] and other[0] < one[2]
    return across and one[1] < other[3] and other[1] < one[3]
