"""A chart laid out: every line, point and word where the template puts it.

Across, everything is a percentage of the width, so that words keep their size on any screen; down,
everything is in pixels.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import combinations

from schedules.charts.chart import Chart, Mark, Point, Series
from schedules.charts.times import Tick, TimeScale
from schedules.charts.values import ValueScale, scale_of
from visits.wording import number_text

HEIGHT_PX, STEP_PX = 132.0, 28.0
WORD_PX, POINT_PX = 15.0, 5.0
TOP_PX, TICK_PX, MONTH_PX, BELOW_PX = 24.0, 4.0, 18.0, 40.0
WIDE = 1000
"""Width of the stretched drawing in which the lines lie."""
SHAPES = 6
WORD_SHARE, POINT_SHARE = 0.42, 0.02
"""Width of a limit's name and half that of a point on a phone, as shares of the drawing."""
ANCHORS = {"end": 1 - WORD_SHARE, "start": 0.0, "middle": (1 - WORD_SHARE) / 2}
LETTER_SHARE = 0.035
"""Letters closer together than this share of the width would touch on a phone."""


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle: shares of the width across, pixels down."""

    left: float
    right: float
    top: float
    bottom: float

    @staticmethod
    def around(share: float, y: float) -> Box:
        """The room a point takes."""
        return Box(share - POINT_SHARE, share + POINT_SHARE, y - POINT_PX, y + POINT_PX)

    def covers(self, other: Box) -> bool:
        """Whether the two have any ink in common."""
        across = self.left < other.right and other.left < self.right
        return across and self.top < other.bottom and other.top < self.bottom


@dataclass(frozen=True, slots=True)
class DrawnPoint:
    """``shape`` numbers the drawing used; ``title`` is shown when pointed at."""

    x: str
    y: float
    shape: int
    kind: str
    title: str


@dataclass(frozen=True, slots=True)
class DrawnSeries:
    """Lines as ``points`` of polylines in the stretched drawing."""

    name: str
    shape: int
    lines: list[str]
    points: list[DrawnPoint]


@dataclass(frozen=True, slots=True)
class DrawnLevel:
    """A tick or a limit: its line and its word, which may stand apart from each other."""

    y: float
    word_y: float
    text: str
    anchor: str = "end"

    @property
    def word_x(self) -> str:
        """Where the word's anchor stands."""
        return {"start": "0%", "middle": "50%", "end": "100%"}[self.anchor]


@dataclass(frozen=True, slots=True)
class DrawnMark:
    """An event's line; ``letter`` is empty where another's stands too close."""

    x: str
    letter: str
    title: str


@dataclass(frozen=True, slots=True)
class Row:
    """One reading of the table."""

    day: date
    series: str
    text: str
    note: str


@dataclass(frozen=True)
class Drawing:
    """Everything the template needs."""

    chart: Chart
    height: float
    series: list[DrawnSeries]
    values: list[DrawnLevel]
    limits: list[DrawnLevel]
    marks: list[DrawnMark]
    months: list[Tick]
    summary: str

    top = TOP_PX

    @property
    def full_height(self) -> float:
        """With the letters above and the months below."""
        return TOP_PX + self.height + BELOW_PX

    @property
    def tick_y(self) -> float:
        return self.height + TICK_PX

    @property
    def month_y(self) -> float:
        return self.height + MONTH_PX

    @property
    def year_y(self) -> float:
        return self.height + MONTH_PX + WORD_PX

    @property
    def rows(self) -> list[Row]:
        """Every reading for the table beside the chart, newest first."""
        rows = [(point, series.name) for series in self.chart.series for point in series.points]
        rows.sort(key=lambda each: -each[0].day)
        return [Row(date.fromordinal(p.day), name, p.text, p.note) for p, name in rows]

    @property
    def shows_key(self) -> bool:
        """Whether several series need to be told apart."""
        return len(self.series) > 1


def draw(chart: Chart, times: TimeScale, marks: Sequence[Mark] = (), summary: str = "") -> Drawing:
    """Lay the chart out on the shared axis."""
    height = STEP_PX * (len(chart.steps) - 1) if chart.steps else HEIGHT_PX
    scale = scale_of(chart, height)
    return Drawing(
        chart=chart,
        height=height,
        series=[_series(one, n, scale, times) for n, one in enumerate(chart.series)],
        values=_values(chart, scale),
        limits=_limits(chart, scale, times),
        marks=place_marks(marks, times),
        months=times.ticks(),
        summary=summary,
    )


def _series(series: Series, number: int, scale: ValueScale, times: TimeScale) -> DrawnSeries:
    shape = number % SHAPES
    lines = [
        " ".join(f"{times.share(p.day) * WIDE:.1f},{scale.y(p.value)}" for p in run)
        for run in series.runs()
        if len(run) > 1
    ]
    points = [_point(point, shape, scale, times) for point in series.points]
    return DrawnSeries(series.name, shape, lines, points)


def _point(point: Point, shape: int, scale: ValueScale, times: TimeScale) -> DrawnPoint:
    kind = "loose" if point.is_loose else "bad" if point.is_bad else ""
    title = ", ".join(part for part in (point.text, point.note) if part)
    return DrawnPoint(times.x(point.day), scale.y(point.value), shape, kind, title)


def _values(chart: Chart, scale: ValueScale) -> list[DrawnLevel]:
    named = chart.steps or {value: number_text(value) for value in scale.ticks()}
    return [DrawnLevel(scale.y(v), scale.y(v), text) for v, text in named.items()]


def _limits(chart: Chart, scale: ValueScale, times: TimeScale) -> list[DrawnLevel]:
    """Lines of the limits within the scale, named one below the other where least is covered."""
    taken = [
        Box.around(times.share(point.day), scale.y(point.value))
        for series in chart.series
        for point in series.points
    ]
    limits = sorted(chart.limits, key=lambda one: -one.value)
    shown = [
        (scale.y(one.value), one.text) for one in limits if scale.low <= one.value <= scale.high
    ]
    # side by side only where names in one column would stand on each other
    tried = [_Named.at(anchors, shown, taken) for anchors in (*zip(ANCHORS), tuple(ANCHORS))]
    return min(tried, key=lambda named: (named.on_names, named.is_mixed, named.on_points)).levels


@dataclass(frozen=True, slots=True)
class _Named:
    """Limits with their names in place, and how often a name covers another or a point."""

    levels: list[DrawnLevel]
    is_mixed: bool
    on_names: int
    on_points: int

    @staticmethod
    def at(
        anchors: Sequence[str], limits: Sequence[tuple[float, str]], points: Sequence[Box]
    ) -> _Named:
        names: list[Box] = []
        levels = []
        for y, text in limits:
            anchor, box = _free_place(anchors, y, [*points, *names])
            names.append(box)
            levels.append(DrawnLevel(y, box.bottom - 4, text, anchor))
        return _Named(
            levels,
            len(anchors) > 1,
            sum(one.covers(other) for one, other in combinations(names, 2)),
            sum(name.covers(point) for name in names for point in points),
        )


def _free_place(anchors: Sequence[str], y: float, taken: Sequence[Box]) -> tuple[str, Box]:
    """At one of the anchors, above the line or below it: the first that covers least."""
    places = [
        (anchor, Box(ANCHORS[anchor], ANCHORS[anchor] + WORD_SHARE, top, top + WORD_PX))
        for top in (y - WORD_PX, y + 1)
        for anchor in anchors
    ]
    return min(places, key=lambda place: sum(place[1].covers(box) for box in taken))


def place_marks(marks: Sequence[Mark], times: TimeScale) -> list[DrawnMark]:
    """Lines of what happened within the axis; letters only where there is room for them."""
    drawn, last = [], -1.0
    for mark in sorted(marks, key=lambda one: one.day):
        if times.shows(mark.day):
            share = times.share(mark.day)
            letter = mark.letter if share - last >= LETTER_SHARE else ""
            last = share if letter else last
            drawn.append(DrawnMark(times.x(mark.day), letter, mark.text))
    return drawn
