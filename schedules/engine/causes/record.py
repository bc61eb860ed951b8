"""What is told of one failure: the fan as it stood, and what was seen, happened and done before.

Days are ordinals, ratios plain numbers; NaN and None are *nobody knows*.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import nan

SINGLE_PHASE = "single_phase"
"""A motor of one phase of which nobody recorded more."""
POSITION_ITEMS = frozenset({
    "supply", "breaker", "switch", "overload", "drive", "feed", "conduit", "duct", "curb",
    "hood_switch", "heat_sensor", "make_up_air", "fire_system", "hour_meter",
})  # fmt: skip
"""What stays when the machine is replaced; every other item goes with it."""


@dataclass(frozen=True, slots=True)
class Seen:
    """One check as found: verdicts by subject, states of seen items, and measured ratios.

    Ratios are of what the plate asks: volts of rated (the line farthest off), overload setting of
    full-load current, belt deflection of the usual one, capacitance of rated.
    """

    day: int
    verdicts: Mapping[str, str] = field(default_factory=dict)
    states: Mapping[str, str] = field(default_factory=dict)
    volts_of_rated: float = nan
    overload_of_full_load: float = nan
    belt_of_usual: float = nan


@dataclass(frozen=True, slots=True)
class Happening:
    """An event that is the fan's own, its system's or its whole roof's, by the day it ended."""

    kind: str
    day: int
    tipped: bool = False


@dataclass(frozen=True, slots=True)
class Work:
    """What was done, on which item."""

    kind: str
    item: str
    day: int


@dataclass(frozen=True, slots=True)
class Past:
    """One loss of function with what was on record; tuples are in time order.

    ``mode`` is the failure mode's code and ``mechanism`` the term for what happened to the part,
    empty where nobody gave one.  ``failed_day`` is when it
    failed, ``found_day`` when it was logged.  ``since_day`` is when the machine was installed that
    failed, None where nobody knows; ``first_day`` the same of the first one there, where that was
    another, 0 where nobody knows.  ``harsh`` is salt or corrosive air.  ``failures`` are earlier
    losses of function, as item and day.  ``left_shaking`` is whether it shook once it ran again.
    """

    item: str
    failed_day: int
    found_day: int
    mode: str = ""
    mechanism: str = ""
    since_day: int | None = None
    first_day: int | None = None
    motor_type: str = ""
    belt_drive: bool | None = None
    bearings: str = ""
    control: str = ""
    harsh: bool | None = None
    looks: tuple[Seen, ...] = ()
    events: tuple[Happening, ...] = ()
    works: tuple[Work, ...] = ()
    failures: tuple[tuple[str, int], ...] = ()
    left_shaking: bool = False

    def machine_day(self) -> int | None:
        """Since when the machine in place has been there."""
        swapped = [w.day for w in self.works if w.item == "machine" and self.is_before(w)]
        days = [*swapped, *([] if self.since_day is None else [self.since_day])]
        return max(days, default=None)

    def is_before(self, work: Work) -> bool:
        """Whether work was done before the failure: that of the same day is its repair."""
        return work.kind == "replaced" and work.day < self.failed_day

    def renewed_day(self, item: str) -> int | None:
        """When that item last became another one before the failure; None where nobody knows."""
        days = [w.day for w in self.works if w.item == item and self.is_before(w)]
        machine = self.machine_day()
        if item not in POSITION_ITEMS and machine is not None:
            days.append(machine)
        return max(days, default=None)

    def renewed_after(self) -> bool:
        """Whether what failed was repaired or replaced for it, by the day it was found."""
        return any(
            work.item == self.item
            and work.kind in ("replaced", "repaired")
            and self.failed_day <= work.day <= self.found_day
            for work in self.works
        )
