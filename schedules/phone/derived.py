"""Verdicts on several readings together, as intervals of one figure made of them; pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from fleet.plates import Feed, Plate
from fleet.quantities import QUANTITIES
from schedules.phone.bounds import Bound, intervals
from visits.limits import DEFAULT_LIMITS, Ahead, Context, look_ahead
from visits.limits.case import LEGS
from visits.limits.insulation import (
    THERMOPLASTIC,
    THERMOSETTING,
    THERMOSETTING_FROM_C,
    factor_to_40c,
)


@dataclass(frozen=True, slots=True)
class Derived:
    """A verdict on several readings: ``how`` makes one figure of ``fields``, ``bounds`` judge it.

    ``context`` is what must have been said, or seen (``running``, of a fan of which nothing else
    was); ``factors`` by whole degrees, where a figure hangs on
    a temperature: between two the ratio is even, to 1e-5 of what judging takes.
    """

    code: str
    fields: tuple[str, ...]
    how: str
    bounds: tuple[Bound, ...]
    ahead: Ahead | None = None
    context: Mapping[str, str] = field(default_factory=dict)
    factors: Mapping[int, float] = field(default_factory=dict)


DEVIATION = "greatest_difference_from_mean_percent"
HOW: Mapping[str, str] = {
    "volts_unbalance": DEVIATION,
    "amps_unbalance": DEVIATION,
    "winding_unbalance": DEVIATION,
    "poles": "greatest_over_least",
    "belt_deflection": "first_over_64th_of_second",
    "insulation": "first_times_factor_at_second",
}
"""What is made of the readings of a subject before its limits hold."""
UNIT_SPAN_MM = 64.0
"""A belt whose right deflection is one: its limits are then those of the ratio."""
DEGREES_C = range(-10, 101)
UNCORRECTED_C = 40.0
LOST_PHASE, LEAST_SHARE = "lost_phase", "least_over_mean_of_others"


@lru_cache(maxsize=1024)
def derived(plate: Plate, feed: Feed) -> tuple[Derived, ...]:
    """What is judged of several readings together on this machine."""
    told = look_ahead(
        HOW, plate=plate, feed=feed, known={"belt_span_mm": UNIT_SPAN_MM},
        context=Context(pole_meter="low_resistance"),
    )  # fmt: skip
    found = [_derived(each, plate, feed) for each in told if each.cannot is None]
    if any(each.code == "amps_unbalance" for each in found):
        found.append(_lost_phase(feed))
    return tuple(found)


def _derived(ahead: Ahead, plate: Plate, feed: Feed) -> Derived:
    subject, names = ahead.subject, ahead.quantities
    if subject == "insulation":
        # as it is judged at 40 degrees, where nothing is corrected
        known, quantity = {names[1]: UNCORRECTED_C}, QUANTITIES[names[0]]
        bounds = intervals(quantity, plate, feed, known, ahead.cuts)
        return Derived(subject, names, HOW[subject], bounds, ahead, {}, FACTORS)
    bounds = tuple(_bands(ahead))
    return Derived(subject, names, HOW[subject], bounds, ahead, _said(subject, feed))


def _said(subject: str, feed: Feed) -> Mapping[str, str]:
    if subject == "poles":
        return {"pole_meter": "low_resistance"}
    if subject == "amps_unbalance":
        place = {"amps_place": "drive_output"} if feed.control == "drive" else {}
        return {"running": "runs"} | place
    return {}


def _lost_phase(feed: Feed) -> Derived:
    """A leg that carries next to nothing; asked beside the current, so no limit ahead tells it."""
    share = DEFAULT_LIMITS.lost_phase_ratio
    bounds = (Bound("stop", None, share), Bound("within", share, None))
    return Derived(LOST_PHASE, LEGS, LEAST_SHARE, bounds, None, _said("amps_unbalance", feed))


def _bands(ahead: Ahead) -> Iterator[Bound]:
    ends = [None, *ahead.cuts, None]
    for place, verdict in enumerate(ahead.verdicts):
        low, high = ends[place], ends[place + 1]
        if low is None or low != high:
            yield Bound(verdict, low, high, place < len(ahead.cuts) and ahead.ends_below[place])


def _factor(temperature_c: float) -> float:
    plastic = factor_to_40c(temperature_c, THERMOPLASTIC)
    if temperature_c < THERMOSETTING_FROM_C:
        return plastic
    return min(plastic, factor_to_40c(temperature_c, THERMOSETTING))


FACTORS: Mapping[int, float] = {degree: _factor(degree) for degree in DEGREES_C}
