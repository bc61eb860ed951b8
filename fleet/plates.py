"""What a motor's nameplate says and how the motor is fed: ratings as printed, paired and connected.

Volts and amperes are kept as the plate prints them (``208-230/460`` with ``3.3-3.2/1.6``) and
paired here.  A part nobody could read is *unreadable*, which is not the same as never recorded:
whole fields are named in ``Plate.unreadable``, one place of a dual rating is written ``?``.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, fields
from enum import Enum
from functools import lru_cache
from math import log

PLAUSIBLE_VOLTS = (12.0, 1000.0)
PLAUSIBLE_AMPERES = (0.01, 500.0)
SUGGESTION_REACH = 1.25
"""How far (as a ratio) the measured mean may lie from a rating and still suggest it; our choice."""


class Unreadable(Enum):
    """The one value standing for a part of the plate that was looked at and could not be read."""

    UNREADABLE = "?"


UNREADABLE = Unreadable.UNREADABLE
Part = float | Unreadable | None
"""A number on the plate, a part that could not be read, or None: never recorded."""


class PlateError(ValueError):
    """A rating that cannot be what a plate says; the text names the value seen and the remedy."""


@dataclass(frozen=True, slots=True)
class Rating:
    """One way to connect the motor: ``230`` has equal ends, ``208-230`` a low and a high one."""

    low_v: Part
    high_v: Part
    low_a: Part = None
    high_a: Part = None

    @property
    def is_range(self) -> bool:
        return self.low_v != self.high_v


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """The nameplate of one machine; None (or an empty text) is *not recorded*.

    ``motor`` is one of ``fleet.quantities.MOTOR_TYPES``; ``drive_type`` is ``direct`` or ``belt``,
    ``mounting`` ``rigid`` or ``flexible``, ``shaft`` ``vertical`` or ``horizontal``, ``bearings``
    ``sealed`` or ``greased``, ``bearing_type`` ``ball`` or ``roller``.
    """

    motor: str = ""
    phases: int | None = None
    volts: str = ""
    amps: str = ""
    power_hp: float | None = None
    speed_rpm: float | None = None
    supply_hz: float | None = None
    service_factor: float | None = None
    temperature_rise_c: float | None = None
    thermally_protected: bool | None = None
    insulation_class: str = ""
    ambient_c: float | None = None
    frame: str = ""
    bearings: str = ""
    bearing_type: str = ""
    bearing_bore_mm: float | None = None
    capacitor_uf: float | None = None
    capacitor_below_percent: float | None = None
    capacitor_above_percent: float | None = None
    drive_type: str = ""
    wheel: str = ""
    belt: str = ""
    motor_sheave_mm: float | None = None
    fan_sheave_mm: float | None = None
    sheave_centres_mm: float | None = None
    mounting: str = ""
    shaft: str = ""
    maker_regrease_h: float | None = None
    unreadable: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        unknown = self.unreadable - PLATE_FIELDS
        if unknown:
            raise PlateError(
                f"unreadable names no part of a plate: {sorted(unknown)}; use names of Plate fields"
            )

    def cannot_read(self, part: str) -> bool:
        """Whether ``part`` (a field name) was looked at and could not be read."""
        return part in self.unreadable


PLATE_FIELDS = frozenset(field.name for field in fields(Plate)) - {"unreadable"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed:
    """How the fan's motor is supplied, protected and controlled.

    ``control`` is one of ``fleet.quantities.SPEED_CONTROLS``.  ``connected_volts`` is the rating a
    person has confirmed at the terminal box (any value inside a range plate's ends names it); None
    leaves it to be suggested by measured volts.  ``drive_input_volts`` is written as on the drive
    (``380-480``); ``service_volts`` is the building's nominal line-to-line voltage.
    """

    panel: str = ""
    poles: int | None = None
    breaker_a: float | None = None
    starter: str = ""
    overload_present: bool | None = None
    overload_setting_a: float | None = None
    control: str = "none"
    drive_input_volts: str = ""
    connected_volts: float | None = None
    service_volts: float | None = None
    disconnect: str = ""
