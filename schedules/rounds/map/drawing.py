"""Marks and ways put on a sheet, then their numbers and names where there is room for them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import chain
from math import dist

from schedules.rounds.map.ground import KM_M, MILE_M, Bar, Frame, Ground, Place, Point, bar_of
from schedules.rounds.map.room import Room, around, box_around

MARGIN_PX = 34.0
MARK_PX, NUMBER_PX, NAME_PX = 9.0, 18.0, 15.0
LETTER_PX = 7.4
"""Width of a letter, on the wide side for most typefaces at the size names have."""
GAP_PX = 5.0
LEADER_PX = 17.0
"""A number further away than this is tied to its mark by a hairline."""
BAR_SHARE = 0.3
MOST_INK = 3
"""A name across more of the lines' points than that could not be read; our choice."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A place to be drawn: ``kind`` says what it is.

    ``number`` stands beside it, ``name`` where there is still room; ``title`` says all of it and
    ``link`` leads to more.  What is ``aside``, which no stop is, has no say in how much ground
    is shown, and is not drawn where that is too little.
    """

    place: Place
    kind: str
    title: str
    name: str = ""
    number: str = ""
    link: str = ""
    aside: bool = False


@dataclass(frozen=True, slots=True)
class Way:
    """A round: the marks it comes to in order, between two times its ``base`` where one is known.

    ``pattern`` numbers how its line is drawn.
    """

    title: str
    pattern: int
    stops: Sequence[Mark]
    base: Place | None = None


@dataclass(frozen=True, slots=True)
class Label:
    """Words in a box so wide with its middle at ``x`` and ``y``; they begin or end at ``edge``."""

    text: str
    x: float
    y: float
    width: float
    anchor: str = "middle"

    @property
    def left(self) -> float:
        return round(self.x - self.width / 2, 1)

    @property
    def edge(self) -> float:
        """Where the words' anchor stands."""
        half = {"start": -self.width / 2, "middle": 0.0, "end": self.width / 2}[self.anchor]
        return round(self.x + half, 1)


@dataclass(frozen=True, slots=True)
class DrawnMark:
    """A mark in its place; without ``number`` or ``name`` where no room was left for it."""

    mark: Mark
    x: float
    y: float
    number: Label | None = None
    name: Label | None = None

    @property
    def is_tied(self) -> bool:
        """Whether a hairline leads from the mark to its number."""
        number = self.number
        return number is not None and dist((self.x, self.y), (number.x, number.y)) > LEADER_PX


@dataclass(frozen=True, slots=True)
class DrawnWay:
    """A round's line as ``points`` of a polyline, and its stops."""

    way: Way
    points: str
    stops: Sequence[DrawnMark]


@dataclass(frozen=True)
class Plan:
    """All that is drawn on a sheet of that size [px], and bars to measure it by."""

    width: float
    height: float
    ways: Sequence[DrawnWay]
    others: Sequence[DrawnMark]
    km: Bar
    miles: Bar

    @property
    def drawn(self) -> list[DrawnMark]:
        """All marks, stops first, in order."""
        return [*chain.from_iterable(way.stops for way in self.ways), *self.others]


def draw_plan(
    ways: Sequence[Way], others: Sequence[Mark], *, width: float, most_height: float
) -> Plan:
    """Draw rounds and whatever else there is on a sheet so wide, north above, true to scale.

    Each number finds room beside its mark or a little off; names come last, and what finds no
    room is not written.  Marks stand where they are, over each other if need be.
    """
    stops = [*chain.from_iterable(way.stops for way in ways)]
    bases = [way.base for way in ways if way.base]
    framed = [mark.place for mark in (*stops, *others) if not mark.aside] + bases
    ground = Ground.around(framed or [mark.place for mark in others])
    frame = Frame.around([ground.flat(each) for each in framed], width, most_height, MARGIN_PX)

    def at(place: Place) -> Point:
        return frame.at(ground.flat(place))

    shown = stops + [mark for mark in others if not mark.aside or frame.shows(at(mark.place))]
    lines = [[at(place) for place in _places(way)] for way in ways]
    room = Room(frame.width, frame.height)
    for line in lines:
        room.ink(line)
    for place in dict.fromkeys([*(mark.place for mark in shown), *bases]):
        room.take(box_around(at(place), MARK_PX, MARK_PX))
    drawn = iter(_labelled([DrawnMark(mark, *at(mark.place)) for mark in shown], room))
    drawn_ways = [
        DrawnWay(way, _polyline(line), [next(drawn) for _ in way.stops])
        for way, line in zip(ways, lines, strict=True)
    ]
    km, miles = (bar_of(unit, frame.px_per_m, width * BAR_SHARE) for unit in (KM_M, MILE_M))
    return Plan(frame.width, round(frame.height, 1), drawn_ways, list(drawn), km, miles)


def _places(way: Way) -> list[Place]:
    ends = [way.base] if way.base else []
    return [*ends, *(stop.place for stop in way.stops), *ends]


def _polyline(line: Sequence[Point]) -> str:
    return " ".join(f"{x:g},{y:g}" for x, y in line)


def _labelled(drawn: Sequence[DrawnMark], room: Room) -> list[DrawnMark]:
    """Numbers first, for they belong to the sheet; then names of what has no number."""
    numbered = [replace(each, number=_number(each, room)) for each in drawn]
    order = sorted(range(len(numbered)), key=lambda n: bool(numbered[n].mark.number))
    for n in order:
        numbered[n] = replace(numbered[n], name=_name(numbered[n], room))
    return numbered


def _number(each: DrawnMark, room: Room) -> Label | None:
    text = each.mark.number
    if not text:
        return None
    width = max(_width(text, 2 * GAP_PX), NUMBER_PX)
    middle = room.best(around((each.x, each.y)), width, NUMBER_PX)
    return Label(text, *middle, width) if middle else None


def _name(each: DrawnMark, room: Room) -> Label | None:
    """Right or left of the number, or of a mark that has none, then also above or below that."""
    text, number = each.mark.name, each.number
    if not text or (each.mark.number and number is None):
        return None
    x, y, beside = (
        (number.x, number.y, number.width / 2) if number else (each.x, each.y, MARK_PX / 2)
    )
    width = _width(text, GAP_PX)
    aside, below = beside + GAP_PX / 2 + 1 + width / 2, (MARK_PX + NAME_PX) / 2 + 1
    tried = [(0.0, (x + aside, y)), (1.0, (x - aside, y))]
    if number is None:
        tried += [(2.0, (x, y - below)), (2.0, (x, y + below))]
    middle = room.best(tried, width, NAME_PX, most_ink=MOST_INK)
    if middle is None:
        return None
    anchor = "start" if middle[0] > x else "end" if middle[0] < x else "middle"
    return Label(text, *middle, width, anchor)


def _width(text: str, air: float) -> float:
    return round(len(text) * LETTER_PX + air, 1)
