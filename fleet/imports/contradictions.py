"""Cells that cannot be true together, and days that have not come yet."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from typing import Any

from fleet.imports.columns import BY_KEY
from fleet.imports.complaints import CellError
from fleet.ratings import PlateError, parse_ratings

Key = tuple[str, str]
Said = Callable[..., list[Any]]
"""The values of some keys of a row, None where nothing readable was said."""
Contradiction = tuple[Key, str, dict[str, Any]]


def contradictions(said: Said, latest_today: date) -> Iterator[Contradiction]:
    """What no two cells of one row can say together, and days that have not come yet."""
    yield from _days_out_of_order(said, latest_today)
    yield from _plate_and_feed(said)
    latitude, longitude = said(("site", "latitude"), ("site", "longitude"))
    if (latitude is None) != (longitude is None):
        given, missing = (
            ("latitude", "longitude") if longitude is None else ("longitude", "latitude")
        )
        yield ("site", given), "coordinate_alone", {"other": BY_KEY["site", missing].heading}


_FOLLOWS = (
    (("agreement", "starts_on"), ("agreement", "ends_on")),
    (("machine", "installed_on"), ("machine", "warranty_until")),
)
_NOT_YET = (("fan", "entered_on"), ("machine", "installed_on"))


def _days_out_of_order(said: Said, latest_today: date) -> Iterator[Contradiction]:
    for earlier, later in _FOLLOWS:
        first, last = said(earlier, later)
        if first and last and last < first:
            yield later, "day_before", {"other": BY_KEY[earlier].heading, "day": first.isoformat()}
    for key in _NOT_YET:
        (day,) = said(key)
        if day and day > latest_today:
            yield key, "day_in_future", {"today": latest_today.isoformat()}


def _plate_and_feed(said: Said) -> Iterator[Contradiction]:
    volts, amps, drive, belt = said(
        ("machine", "volts"),
        ("machine", "full_load_amps"),
        ("machine", "drive"),
        ("machine", "belt"),
    )
    if volts and amps:
        try:
            parse_ratings(volts, amps)
        except PlateError as error:
            yield ("machine", "full_load_amps"), "told", CellError.from_text(error).told
    if drive == "direct" and belt:
        yield ("machine", "belt"), "belt_on_direct", {}
    yield from _feed_alone(said, volts)


def _feed_alone(said: Said, volts: str | None) -> Iterator[Contradiction]:
    connected, setting, present = said(
        ("feed", "connected_volts"), ("feed", "overload_setting_a"), ("feed", "overload_present")
    )
    if connected and volts and not _offers(volts, connected):
        yield ("feed", "connected_volts"), "not_on_plate", {"volts": volts}
    if (present is False and isinstance(setting, float)) or (present and setting == "none"):
        yield ("feed", "overload_setting_a"), "overload_both_ways", {}


def _offers(plate: str, connected: str) -> bool:
    """Whether the plate has the connected rating; a part nobody could read may be it."""
    try:
        ratings, chosen = parse_ratings(plate), parse_ratings(connected)
    except PlateError:
        return True
    if len(chosen) != 1 or not isinstance(chosen[0].low_v, float):
        return False
    high = chosen[0].high_v
    return any(
        not isinstance(rating.low_v, float)
        or not isinstance(rating.high_v, float)
        or (rating.low_v <= chosen[0].low_v and isinstance(high, float) and high <= rating.high_v)
        for rating in ratings
    )
