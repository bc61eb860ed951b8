"""The plan of a roof as a line drawing: where its fans lie from the hatch; pure, no drawing itself.

Places are metres east and north of the hatch, north is up.  Marks keep so far apart that a thumb
finds one: where fans lie closer than that on the drawing, they are pushed apart, which is told.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import hypot
from typing import Protocol

WIDTH = 320.0
MARK = 22.0
"""The radius of a mark; it is what is tapped (WCAG 2.2, 2.5.5: 44 across)."""
APART = 2 * MARK + 4
EDGE = MARK + 8
MOST_TALL = 1.0
"""The tallest drawing, in its widths."""
STEPS = 60
LONGEST = 6


@dataclass(frozen=True)
class Spot:
    """A fan on the drawing: its centre in the drawing's units."""

    fan: int
    tag: str
    place: str
    x: float
    y: float

    @property
    def label(self) -> str:
        """The tag as far as its mark has room; its link has all of it."""
        return self.tag if len(self.tag) <= LONGEST else f"{self.tag[: LONGEST - 1]}…"


@dataclass(frozen=True)
class RoofPlan:
    """``spots`` from north to south, then west to east; the drawing is ``across_m`` wide [m].

    ``across_m`` is 0 where all lie about the hatch.  ``pushed`` says that fans were drawn further
    apart than they lie.  ``unplaced`` are the tags of fans of which nobody entered where they lie.
    """

    width: float
    height: float
    hatch: tuple[float, float]
    spots: list[Spot] = field(default_factory=list)
    unplaced: list[str] = field(default_factory=list)
    across_m: int = 0
    pushed: bool = False


@dataclass(frozen=True)
class Lying:
    """A fan as the register has it; None where nobody entered it."""

    fan: int
    tag: str
    place: str
    east_m: float | None
    north_m: float | None


class Positioned(Protocol):
    """What the register says of a fan, as far as the plan asks."""

    pk: int
    tag: str
    place: str
    east_m: float | None
    north_m: float | None


def lying(fan: Positioned) -> Lying:
    """A fan of the register as the plan has it."""
    return Lying(fan.pk, fan.tag, fan.place, fan.east_m, fan.north_m)


def roof_plan(fans: Sequence[Lying]) -> RoofPlan | None:
    """The drawing of these fans; None where no place is known."""
    placed = [(each, each.east_m, each.north_m) for each in fans]
    known = [(each, x, y) for each, x, y in placed if x is not None and y is not None]
    if not known:
        return None
    west, east = min(0.0, *(x for _, x, _ in known)), max(0.0, *(x for _, x, _ in known))
    south, north = min(0.0, *(y for _, _, y in known)), max(0.0, *(y for _, _, y in known))
    inner = WIDTH - 2 * EDGE
    per_m = min(inner / max(east - west, 1.0), inner * MOST_TALL / max(north - south, 1.0))
    spare = (inner - (east - west) * per_m) / 2
    to_x = [EDGE + spare + (x - west) * per_m for x in (0.0, *(x for _, x, _ in known))]
    to_y = [EDGE + (north - y) * per_m for y in (0.0, *(y for _, _, y in known))]
    points = [[x, y] for x, y in zip(to_x, to_y, strict=True)]
    pushed = _push_apart(points)
    top = min(y for _, y in points) - EDGE
    spots = [
        Spot(each.fan, each.tag, each.place, round(x, 1), round(y - top, 1))
        for (each, _, _), (x, y) in zip(known, points[1:], strict=True)
    ]
    height = max(y for _, y in points) - top + EDGE
    return RoofPlan(
        width=WIDTH,
        height=round(height, 1),
        hatch=(round(points[0][0], 1), round(points[0][1] - top, 1)),
        spots=sorted(spots, key=lambda spot: (spot.y, spot.x, spot.tag)),
        unplaced=sorted(each.tag for each, x, y in placed if x is None or y is None),
        across_m=round(WIDTH / per_m) if max(east - west, north - south) >= 2 else 0,
        pushed=pushed,
    )


def _push_apart(points: list[list[float]]) -> bool:
    """Move marks that lie too close along the line between them; whether any was moved."""
    moved = False
    for _ in range(STEPS):
        close = False
        for one, first in enumerate(points):
            for other, second in enumerate(points[one + 1 :], one + 1):
                close |= _part(first, second, one == 0, other)
        moved |= close
        if not close:
            break
    return moved


def _part(first: list[float], second: list[float], is_hatch: bool, turn: int) -> bool:
    """Two marks too close: each goes half the way, the hatch stays where it is."""
    dx, dy = second[0] - first[0], second[1] - first[1]
    apart = hypot(dx, dy)
    if apart >= APART - 0.5:
        return False
    if apart < 0.01:  # on one spot: aside, each in its turn another way
        dx, dy, apart = (1.0, 0.0, 1.0) if turn % 2 else (0.0, 1.0, 1.0)
    share = (APART - apart) / apart
    for point, part in ((first, 0.0 if is_hatch else -0.5), (second, 1.0 if is_hatch else 0.5)):
        point[0] = min(max(point[0] + dx * share * part, EDGE), WIDTH - EDGE)
        point[1] += dy * share * part
    return True
