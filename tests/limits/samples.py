"""A plate, a feed and short ways to ask for one verdict, shared by the tests of the rows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from fleet.plates import Feed, Plate
from visits.limits import DEFAULT_LIMITS, Context, Judgement, Limits, Reading, by_subject, judge

# The check values of common practice (no source): 230/460 V with 3.2/1.6 A, connected for 230 V.
PLATE = Plate(
    motor_type="three_phase", volts="230/460", full_load_amps="3.2/1.6", power_hp=1.0,
    service_factor=1.15, drive="direct", hertz=60.0,
)  # fmt: skip
FEED = Feed(connected_volts="230", connected_confirmed=True)
BELT_PLATE = replace(PLATE, drive="belt")
PSC_PLATE = Plate(
    motor_type="psc", volts="115", full_load_amps="5.8", power_hp=0.25, drive="direct",
    capacitor_uf=10.0,
)  # fmt: skip
EC_PLATE = Plate(motor_type="ec", volts="230", full_load_amps="2.5", power_hp=1.0, drive="direct")


def judged(
    subject: str,
    readings: Mapping[str, Any],
    *,
    plate: Plate = PLATE,
    feed: Feed = FEED,
    limits: Limits = DEFAULT_LIMITS,
    **context: Any,
) -> Judgement | None:
    """The judgement on ``subject``, or None if the check gives none."""
    found = judge(readings, plate=plate, feed=feed, context=Context(**context), limits=limits)
    return by_subject(found).get(subject)


def verdict(subject: str, readings: Mapping[str, Any], **rest: Any) -> str:
    """The verdict on ``subject``, or an empty text."""
    found = judged(subject, readings, **rest)
    return "" if found is None else found.verdict


def code(subject: str, readings: Mapping[str, Any], **rest: Any) -> str:
    """The code of the judgement on ``subject``, or an empty text."""
    found = judged(subject, readings, **rest)
    return "" if found is None else found.code


def volts(*lines: float) -> dict[str, float]:
    return dict(zip(("volts_ab_v", "volts_bc_v", "volts_ca_v"), lines, strict=False))


def amps(*legs: float | Reading) -> dict[str, float | Reading]:
    return dict(zip(("amps_a_a", "amps_b_a", "amps_c_a"), legs, strict=False))


def windings(*ohms: float | Reading) -> dict[str, float | Reading]:
    names = ("winding_ab_ohm", "winding_bc_ohm", "winding_ca_ohm")
    return dict(zip(names, ohms, strict=False))


def poles(*ohms: float | Reading) -> dict[str, float | Reading]:
    return dict(zip(("pole_1_ohm", "pole_2_ohm", "pole_3_ohm"), ohms, strict=False))
