"""What a chart shows, in its own units; days are ordinals."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Point:
    """One reading: ``text`` is the value as people write it, ``note`` its verdict or stage.

    ``is_loose`` keeps it off the line: a qualified reading, or one as left.  ``is_bad`` draws it
    heavier; the word stands in the chart's table.  ``machine`` tells machines apart: no line joins
    one's readings to another's.
    """

    day: int
    value: float
    text: str
    note: str = ""
    is_loose: bool = False
    is_bad: bool = False
    machine: int | None = None


@dataclass(frozen=True, slots=True)
class Series:
    """Points in order of day; the line is broken at ``breaks``, the first days of something new."""

    name: str
    points: Sequence[Point]
    breaks: Sequence[int] = ()

    def runs(self) -> list[list[Point]]:
        """The points on the line, cut where it breaks."""
        runs: list[list[Point]] = []
        for point in self.points:
            if not point.is_loose:
                if not runs or self._is_new(runs[-1][-1], point):
                    runs.append([])
                runs[-1].append(point)
        return runs

    def _is_new(self, last: Point, point: Point) -> bool:
        broken = any(last.day < day <= point.day for day in self.breaks)
        return broken or last.machine != point.machine


@dataclass(frozen=True, slots=True)
class Limit:
    """A level that means something."""

    value: float
    text: str


@dataclass(frozen=True, slots=True)
class Mark:
    """Something that happened on a day: a letter on the time axis, the same in every chart.

    ``kind`` says what the letter means, ``text`` what happened; ``cuts`` that lines break there.
    """

    day: int
    letter: str
    text: str
    kind: str = ""
    cuts: bool = False


@dataclass(frozen=True, slots=True)
class Chart:
    """One quantity over time.

    ``steps`` names the levels of a scale without numbers by value; ``is_log`` spaces by powers of
    ten.  ``from_zero`` begins the scale at nothing, else it fits what is drawn.  ``column`` heads
    what is no reading and has no verdict.
    """

    title: str
    unit: str
    series: Sequence[Series]
    limits: Sequence[Limit] = ()
    steps: Mapping[float, str] = field(default_factory=dict)
    is_log: bool = False
    from_zero: bool = True
    column: str = ""

    @property
    def values(self) -> list[float]:
        """Every value drawn as a point."""
        return [point.value for series in self.series for point in series.points]
