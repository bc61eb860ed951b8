"""A week's rounds for a map: GeoJSON (RFC 7946), sites as points, rounds as lines."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Any

from schedules.models import PlannedRound
from schedules.rounds.sheet import StopLine, WeekSheet
from schedules.rounds.telling import fans_text
from schedules.wording.rounds import skills_text

KIND = "application/geo+json"
DECIMALS = 6
"""About 10 cm, as RFC 7946, 11.2, advises."""

Position = tuple[float, float]
"""Longitude, then latitude [degrees] (RFC 7946, 3.1.1)."""


def geojson_of(sheet: WeekSheet) -> dict[str, Any]:
    """A feature for each round, then one for each of its stops; minutes are the office's."""
    features, seen = [], []
    for row in sheet.rounds:
        lines = sheet.stops_of(row)
        positions = _way_of(row, lines)
        features += [_round_feature(sheet, row, positions)]
        features += [_stop_feature(sheet, row, line) for line in lines]
        seen += positions
    told: dict[str, Any] = {"type": "FeatureCollection", "features": features}
    return {**told, "bbox": box_around(seen)} if seen else told


def line_through(positions: Sequence[Position]) -> dict[str, Any] | None:
    """A line, cut in two where it crosses the antimeridian (RFC 7946, 3.1.9); None for no way."""
    if len(positions) < 2:
        return None
    pieces = [[positions[0]]]
    for begin, end in pairwise(positions):
        if abs(end[0] - begin[0]) > 180:
            here, there = _cut(begin, end)
            pieces[-1].append(here)
            pieces.append([there])
        pieces[-1].append(end)
    if len(pieces) == 1:
        return {"type": "LineString", "coordinates": pieces[0]}
    return {"type": "MultiLineString", "coordinates": pieces}


def box_around(positions: Iterable[Position]) -> list[float]:
    """West, south, east, north of the narrowest box; across the antimeridian its west is greater
    than its east (RFC 7946, 5.2).
    """
    places = list(positions)
    around = sorted({longitude for longitude, _ in places})
    latitudes = [latitude for _, latitude in places]
    # The box leaves out the widest stretch that nobody is on.
    gaps = [(east - west, east, west) for west, east in pairwise(around)]
    gaps.append((around[0] + 360 - around[-1], around[0], around[-1]))
    _, west, east = max(gaps)
    return [west, min(latitudes), east, max(latitudes)]


def _cut(begin: Position, end: Position) -> tuple[Position, Position]:
    """Where the short way between two positions crosses, as seen from either side."""
    side = 180.0 if begin[0] > 0 else -180.0
    ahead = end[0] + 2 * side
    share = (side - begin[0]) / (ahead - begin[0]) if ahead != begin[0] else 0.0
    latitude = round(begin[1] + share * (end[1] - begin[1]), DECIMALS)
    return (side, latitude), (-side, latitude)


def _way_of(row: PlannedRound, lines: Sequence[StopLine]) -> list[Position]:
    """From the base over all stops that have a place, and back."""
    week = getattr(row.technician, "working_week", None)
    base = [_position(*week.position)] if week else []
    places = [line.row.site.position for line in lines]
    return [*base, *(_position(*place) for place in places if place), *base]


def _position(latitude: float, longitude: float) -> Position:
    return round(longitude, DECIMALS), round(latitude, DECIMALS)


def _round_feature(
    sheet: WeekSheet, row: PlannedRound, positions: Sequence[Position]
) -> dict[str, Any]:
    told = {
        "kind": "round", "leave_minute": row.leave_minute, "back_minute": row.back_minute,
        "travel_minutes": row.travel_minutes, "travel_km": round(row.travel_m / 1000, 1),
    }  # fmt: skip
    return _feature(line_through(positions), {**_named(sheet, row), **told})


def _stop_feature(sheet: WeekSheet, row: PlannedRound, line: StopLine) -> dict[str, Any]:
    stop, site = line.row, line.row.site
    told = {
        "kind": "stop", "position": stop.position, "site_id": site.pk, "site": site.name,
        "arrive_minute": stop.arrive_minute, "start_minute": stop.start_minute,
        "leave_minute": stop.leave_minute, "work": fans_text(line.fans), "reason": line.reason,
        "qualified_for": skills_text(line.skills), "breaks": line.breaks,
    }  # fmt: skip
    point = None
    if site.position:
        point = {"type": "Point", "coordinates": _position(*site.position)}
    return {**_feature(point, {**_named(sheet, row), **told}), "id": str(stop.key)}


def _named(sheet: WeekSheet, row: PlannedRound) -> dict[str, Any]:
    version = sheet.version
    return {
        "week": str(version.plan), "version": version.number or None, "day": row.day.isoformat(),
        "technician_id": row.technician_id, "technician": row.technician.called,
    }  # fmt: skip


def _feature(geometry: dict[str, Any] | None, properties: dict[str, Any]) -> dict[str, Any]:
    return {"type": "Feature", "geometry": geometry, "properties": properties}
