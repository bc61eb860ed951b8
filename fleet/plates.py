"""What a motor's nameplate says and how the motor is fed: and which rating is connected.

A part nobody could read is *unreadable*, which is not the same as never recorded: whole fields are
named in ``Plate.unreadable``, one place of a dual rating is written ``?`` (``fleet.ratings``).
"""

from __future__ import annotations

import logging
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from math import inf
from math import log as ln

from fleet.ratings import PlateError, Rating, parse_ratings
from fleet.refusals import N_

log = logging.getLogger(__name__)

SUGGESTION_REACH = 1.25
"""How far (as a ratio) the measured mean may lie from a rating and still suggest it; our choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """The nameplate of one machine; None (or an empty text) is *not recorded*.

    ``motor_type`` is one of ``fleet.quantities.MOTOR_TYPES``; ``drive`` is ``direct`` or ``belt``,
    ``mounting`` ``rigid`` or ``flexible``, ``bearings`` ``sealed`` or ``greased``.
    """

    motor_type: str = ""
    phases: int | None = None
    volts: str = ""
    full_load_amps: str = ""
    power_hp: float | None = None
    speed_rpm: float | None = None
    hertz: float | None = None
    service_factor: float | None = None
    insulation_class: str = ""
    ambient_c: float | None = None
    temperature_rise_c: float | None = None
    frame: str = ""
    thermally_protected: bool | None = None
    bearings: str = ""
    bearing_type: str = ""
    bore_mm: float | None = None
    shaft_rpm: float | None = None
    capacitor_uf: float | None = None
    capacitor_tolerance_percent: float | None = None
    drive: str = ""
    wheel: str = ""
    belt: str = ""
    sheaves: str = ""
    mounting: str = ""
    shaft: str = "vertical"
    maker_regrease_h: float | None = None
    unreadable: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        unknown = self.unreadable - PLATE_FIELDS
        if unknown:
            raise PlateError(
                "unreadable names no part of a plate: %(names)s", "use names of Plate fields",
                {"names": sorted(unknown)},
            )  # fmt: skip

    def cannot_read(self, part: str) -> bool:
        """Whether ``part`` (a field name) was looked at and could not be read."""
        return part in self.unreadable


PLATE_FIELDS = frozenset(field.name for field in fields(Plate)) - {"unreadable"}


def unreadable_parts(stored: object) -> frozenset[str]:
    """Parts of a plate that a stored list names; what is no list of names is logged, once."""
    if isinstance(stored, list) and all(isinstance(name, str) for name in stored):
        return frozenset(stored)
    _complain(repr(stored)[:80])
    return frozenset()


def has_no_belt(drive: str, unreadable: object) -> bool:
    """Whether the register says that a machine is driven directly; a drive nobody could read is
    not known."""
    return drive == "direct" and "drive" not in unreadable_parts(unreadable)


@lru_cache(maxsize=64)
def _complain(seen: str) -> None:
    log.warning("a machine's unreadable parts are %s, which is no list of names: none taken", seen)


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed:
    """How the fan's motor is supplied, protected and controlled.

    ``control`` is one of ``fleet.quantities.SPEED_CONTROLS``.  ``connected_volts`` is the plate's
    rating in use (``230``, ``208-230``), ``connected_confirmed`` that a person saw it at the
    connections; empty leaves it to be suggested by measured volts.  ``service_volts`` is the
    building's nominal line-to-line voltage.
    """

    panel: str = ""
    circuit: str = ""
    poles: int | None = None
    breaker_a: float | None = None
    service_volts: float | None = None
    connected_volts: str = ""
    connected_confirmed: bool = False
    starter: str = ""
    overload_setting_a: float | None = None
    overload_present: bool | None = None
    control: str = "none"
    drive_input_volts: float | None = None
    switch: str = ""


@dataclass(frozen=True, slots=True)
class Connected:
    """The rating in use; not ``confirmed`` means it was only inferred from measured volts."""

    rating: Rating
    confirmed: bool


def connected_rating(
    plate: Plate, feed: Feed, measured_volts: Sequence[float] = ()
) -> Connected | None:
    """The rating the motor is connected for, or None where nothing tells.

    The connection recorded in ``feed`` decides; a plate with one rating leaves no choice; otherwise
    the rating nearest to the mean of ``measured_volts`` [V] is suggested.  Raises PlateError where
    the recorded connection is none of the plate's, or a text is no rating.
    """
    ratings = parse_ratings(plate.volts, plate.full_load_amps)
    readable = tuple(rating for rating in ratings if rating.ends)
    if feed.connected_volts:
        named = _named(feed.connected_volts, ratings, readable, plate.volts)
        return Connected(named, feed.connected_confirmed or len(ratings) == 1)
    if len(ratings) == 1:
        return Connected(ratings[0], True)
    return _suggested(readable, measured_volts)


def _named(
    text: str, ratings: tuple[Rating, ...], readable: tuple[Rating, ...], printed: str
) -> Rating:
    wanted = parse_ratings(text)[0]
    asked = wanted.ends
    for rating in readable:
        ends = rating.ends
        if asked and ends and ends[0] <= asked[0] and asked[1] <= ends[1]:
            return rating
    unread = [rating for rating in ratings if rating.ends is None]
    if unread or not ratings:
        # The unread part may be this very voltage; its amperes are known if it is the only one.
        only = unread[0] if len(unread) == 1 else Rating(None, None)
        return replace(only, low_v=wanted.low_v, high_v=wanted.high_v)
    raise PlateError(
        N_("connected for %(volts)s V, which the plate's %(printed)s does not offer"),
        N_("correct the plate or the connection"),
        {"volts": text, "printed": repr(printed)},
    )


def _suggested(readable: tuple[Rating, ...], measured_volts: Sequence[float]) -> Connected | None:
    if not measured_volts:
        return None
    mean = sum(measured_volts) / len(measured_volts)
    if mean <= 0 or not readable:
        return None
    nearest = min(readable, key=lambda rating: _distance(rating, mean))
    near_enough = _distance(nearest, mean) <= ln(SUGGESTION_REACH)
    return Connected(nearest, False) if near_enough else None


def _distance(rating: Rating, volts: float) -> float:
    """How far ``volts`` lies outside the rating's ends, as a natural log of the ratio."""
    if rating.ends is None:
        return inf
    low, high = rating.ends
    return max(0.0, ln(low / volts), ln(volts / high))
