"""Cells that cannot be true together, and days that have not come yet."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta, timezone
from math import sqrt
from typing import Any
from zoneinfo import ZoneInfo

from fleet.imports.columns import BY_KEY
from fleet.imports.complaints import CellError
from fleet.quantities import SPLIT_CAPACITOR, THREE_PHASE
from fleet.ratings import PlateError, Rating, parse_ratings
from fleet.units import KW_PER_HP

KW_PER_W = 1e-3
MOST_OUT_OF_IN = 1.5
"""Shaft power over volt-amperes: 1 is the physical bound; the margin for rounded plates is ours."""
LEAST_OUT_OF_IN = 0.02
"""The poorest small motors turn about a tenth of their volt-amperes into shaft power; our choice,
so low that only a slip of a decimal or a unit falls below it."""

FURTHEST_EAST = timezone(timedelta(hours=14))
Key = tuple[str, str]
Said = Callable[..., list[Any]]
"""The values of some keys of a row, None where nothing readable was said."""
Contradiction = tuple[Key, str, dict[str, Any]]


def contradictions(said: Said, now: datetime) -> Iterator[Contradiction]:
    """What no two cells of one row can say together, and days that have not come yet."""
    yield from _days_out_of_order(said)
    yield from _days_to_come(said, now)
    yield from _plate_and_feed(said)


_FOLLOWS = (
    (("agreement", "starts_on"), ("agreement", "ends_on")),
    (("machine", "installed_on"), ("machine", "warranty_until")),
)
_NOT_YET = (("fan", "entered_on"), ("machine", "installed_on"))


def _days_out_of_order(said: Said) -> Iterator[Contradiction]:
    for earlier, later in _FOLLOWS:
        first, last = said(earlier, later)
        if first and last and last < first:
            yield later, "day_before", {"other": BY_KEY[earlier].heading, "day": first.isoformat()}


def _days_to_come(said: Said, now: datetime) -> Iterator[Contradiction]:
    """Days after the site's today; without its zone, after the latest day anywhere on earth."""
    (zone,) = said(("site", "time_zone"))
    today = now.astimezone(ZoneInfo(zone) if zone else FURTHEST_EAST).date()
    for key in _NOT_YET:
        (day,) = said(key)
        if day and day > today:
            code = "day_in_future" if zone else "day_in_future_anywhere"
            yield key, code, {"today": today.isoformat()}


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
        else:
            yield from _power_apart(said, parse_ratings(volts, amps))
    yield from _phases_apart(said)
    if drive == "direct" and belt:
        yield ("machine", "belt"), "belt_on_direct", {}
    yield from _feed_alone(said, volts)


def _power_apart(said: Said, ratings: tuple[Rating, ...]) -> Iterator[Contradiction]:
    """A motor gives no more power than it takes, and no motor turns nearly all of it into heat."""
    power_hp, motor, phases = said(
        ("machine", "power_hp"), ("machine", "motor_type"), ("machine", "phases")
    )
    single = phases == 1 or motor == SPLIT_CAPACITOR
    for volts, amps in (end for rating in ratings for end in rating.pairs):
        taken_hp = volts * amps * (1 if single else sqrt(3)) * KW_PER_W / KW_PER_HP
        if power_hp and power_hp > MOST_OUT_OF_IN * taken_hp:
            code, bound_hp = "power_too_much", MOST_OUT_OF_IN * taken_hp
        elif power_hp and power_hp < LEAST_OUT_OF_IN * taken_hp:
            code, bound_hp = "power_too_little", LEAST_OUT_OF_IN * taken_hp
        else:
            continue
        told = {
            "volts": f"{volts:g}", "amps": f"{amps:g}",
            "taken_hp": f"{taken_hp:.2g}", "bound_hp": f"{bound_hp:.2g}",
        }  # fmt: skip
        yield ("machine", "power_hp"), code, told
        return


def _phases_apart(said: Said) -> Iterator[Contradiction]:
    motor, phases = said(("machine", "motor_type"), ("machine", "phases"))
    if (motor, phases) in ((THREE_PHASE, 1), (SPLIT_CAPACITOR, 3)):
        told = {"motor": motor.replace("_", " ") if motor == THREE_PHASE else "PSC"}
        yield ("machine", "phases"), "phases_of_motor", told


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
