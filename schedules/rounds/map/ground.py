"""Places laid flat and fitted on a sheet, with how long a bar of so many km or miles is there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, floor, log10, radians

from schedules.engine.rounds.travel import EARTH_RADIUS_M

Place = tuple[float, float]
"""Latitude and longitude [degrees]."""
Point = tuple[float, float]
"""Metres east and north, or pixels right and down."""

KM_M, MILE_M = 1000.0, 1609.344
"""The international mile is that long exactly."""
LEAST_SPAN_M = 1000.0
"""A lone site is shown amid that much ground; our choice."""


@dataclass(frozen=True, slots=True)
class Ground:
    """Places laid flat around a middle [degrees].

    The equidistant cylindrical projection, x = R (lon - lon0) cos lat1 and y = R (lat - lat1) with
    lat1 the middle latitude: J. P. Snyder, Map Projections, A Working Manual, USGS Professional
    Paper 1395 (1987), equations 12-1 and 12-2.  True to scale northwards everywhere and eastwards
    in the middle; 100 km north or south of there, at 45 degrees, widths are off by 1.6 percent.
    """

    latitude: float
    longitude: float

    @staticmethod
    def around(places: Sequence[Place]) -> Ground:
        """With its middle halfway between the outermost of some places, one at least."""
        first = places[0][1]
        # what lies beyond the 180th meridian is near all the same
        east = [_turned(longitude - first) for _, longitude in places]
        north = [latitude for latitude, _ in places]
        return Ground(_middle(north), _turned(first + _middle(east)))

    def flat(self, place: Place) -> Point:
        """Metres east and north of the middle."""
        metres = radians(1) * EARTH_RADIUS_M
        east = _turned(place[1] - self.longitude) * cos(radians(self.latitude))
        return east * metres, (place[0] - self.latitude) * metres


def _middle(values: Sequence[float]) -> float:
    return (min(values) + max(values)) / 2


def _turned(degrees: float) -> float:
    """The same direction between -180 and 180."""
    return (degrees + 180) % 360 - 180


@dataclass(frozen=True, slots=True)
class Frame:
    """The ground on a sheet: its middle in the middle, north above."""

    width: float
    height: float
    px_per_m: float

    @staticmethod
    def around(points: Sequence[Point], width: float, most_height: float, margin: float) -> Frame:
        """As large as a sheet allows that is so wide and no higher, with a margin on all sides."""
        across, up = (2 * max((abs(point[n]) for point in points), default=0) for n in (0, 1))
        across, up = max(across, LEAST_SPAN_M), max(up, LEAST_SPAN_M)
        px_per_m = min((width - 2 * margin) / across, (most_height - 2 * margin) / up)
        return Frame(width, up * px_per_m + 2 * margin, px_per_m)

    def at(self, point: Point) -> Point:
        """Where metres from the middle are on the sheet [px]."""
        x = self.width / 2 + point[0] * self.px_per_m
        return round(x, 1), round(self.height / 2 - point[1] * self.px_per_m, 1)

    def shows(self, point: Point) -> bool:
        """Whether pixels are on the sheet."""
        return 0 <= point[0] <= self.width and 0 <= point[1] <= self.height


@dataclass(frozen=True, slots=True)
class Bar:
    """A length to measure by: ``units`` of its unit are ``px`` long."""

    units: float
    px: float


def bar_of(unit_m: float, px_per_m: float, longest_px: float) -> Bar:
    """The longest bar of 1, 2 or 5 units, or ten times or a tenth of that, and so on."""
    most = longest_px / (px_per_m * unit_m)
    power = 10.0 ** floor(log10(most))
    # a hair of room, for 10 ** n and the division may each be off in the last digit
    step = next(step for step in (5, 2, 1) if step * power <= most * (1 + 1e-9))
    units = float(f"{step * power:.3g}")
    return Bar(units, round(units * unit_m * px_per_m, 1))
