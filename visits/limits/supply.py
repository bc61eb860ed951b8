"""The supply: volts against the rating in use, their unbalance, heat at alike connections."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from fleet.quantities import QUANTITIES, Verdict
from visits.limits import judgement as codes
from visits.limits.case import LINES, Case
from visits.limits.electrical import unbalance_derating
from visits.limits.giving import cannot, cannot_missing, cannot_qualified, in_bands
from visits.limits.judgement import Judgement
from visits.limits.readings import Bands, Span, up_to
from visits.limits.spread import spread_of

LOWER_SERVICE = 0.95
"""A service below this share of the rating is another system's, as 208 V for a 230 V motor."""


@dataclass(frozen=True, slots=True)
class Rated:
    """Ends of the voltage that counts at the line side [V]."""

    low_v: float
    high_v: float


def rated_volts(case: Case) -> Rated | None:
    """The drive's input rating on a drive, else the motor's rating in use; None if not known."""
    if case.feed.control == "drive":
        volts = case.feed.drive_input_volts
        return None if volts is None else Rated(volts, volts)
    ends = case.connected.rating.ends if case.connected else None
    return None if ends is None else Rated(*ends)


def volts_row(case: Case) -> Iterator[Judgement]:
    """Every line by itself between 0.9 and 1.1 times the rating; the line furthest out is named."""
    lines = {name: reading for name in LINES if (reading := case.canonical(name))}
    if not lines:
        return
    first = next(iter(lines))
    rated = rated_volts(case)
    if case.plate_error and case.feed.control != "drive":
        yield cannot("volts", codes.PLATE_UNUSABLE, first, error=case.plate_error)
    elif rated is None:
        yield no_rating(case, first)
    elif case.suggested and case.feed.control != "drive":
        volts = tuple(reading.typed for reading in lines.values())
        yield cannot("volts", "volts.only_suggested", first, volts=volts, suggested_v=rated.low_v)
    else:
        yield _volts_judged(case, lines, rated)


def volts_bands(case: Case, rated: Rated) -> Bands:
    """What each line is judged by."""
    low_ratio, high_ratio = case.limits.volts_ratio
    cuts = (rated.low_v * low_ratio, rated.high_v * high_ratio)
    return Bands(cuts, (False, True), ("low", "within", "high"))


def no_rating(case: Case, quantity: str) -> Judgement:
    """*Cannot judge* for want of rated volts, naming what is missing."""
    if case.feed.control == "drive":
        return cannot_missing("volts", quantity, ["drive_input_volts"])
    unread = case.plate.cannot_read("volts") or "?" in case.plate.volts
    named = "connected_volts" if "/" in case.plate.volts else "volts"
    return cannot_missing("volts", quantity, [named], ["volts"] if unread else [])


def _volts_judged(case: Case, lines: dict[str, Span], rated: Rated) -> Judgement:
    bands = volts_bands(case, rated)
    low, high = bands.cuts
    worst, reading = max(lines.items(), key=lambda line: max(low - line[1].low, line[1].low - high))
    place = bands.place(reading)
    if place is None:
        return cannot_qualified("volts", worst, reading)
    code, verdict, limit = _VOLTS[place]
    args: dict[str, Any] = {
        "volts": tuple(line.typed for line in lines.values()), "low": low, "high": high,
        "suggested": case.suggested,
    }  # fmt: skip
    service = case.feed.service_volts
    if service and service < LOWER_SERVICE * rated.low_v and code != "high":
        code, args["service_volts"] = f"{code}_on_lower_service", service
    return Judgement(
        "volts", f"volts.{code}", verdict, "supply", worst, case.limits.basis("volts_ratio"),
        reading.typed, "V", args[limit], args,
    )  # fmt: skip


_VOLTS: tuple[tuple[str, Verdict, str], ...] = (
    ("low", "act", "low"), ("within", "within", "low"), ("high", "act", "high"),
)  # fmt: skip


def volts_unbalance_row(case: Case) -> Iterator[Judgement]:
    """NEMA unbalance of three line-to-line volts."""
    lines = case.all_of(LINES)
    spread = None if lines is None else spread_of(lines)
    if spread is None or case.is_three_phase is False:
        return
    percent = spread.percent
    derating = float(unbalance_derating(percent.low)) if percent.is_exact else None
    yield in_bands(
        "volts_unbalance", spread.furthest(LINES), percent,
        up_to(case.limits.volts_unbalance_percent, "within", "some", "high", "beyond_running"),
        ("within", "watch", "act", "stop"),
        case.limits.basis("volts_unbalance_percent"),
        values=spread.values, mean=spread.mean,
        derating=None if derating is None or derating != derating else derating,
        extra_heat_percent=2 * percent.low**2 if percent.is_exact else None,
    )  # fmt: skip


def temperature_difference_row(case: Case) -> Iterator[Judgement]:
    """Difference between similar parts under similar load: < 1, < 4, <= 15, > 15 K."""
    name = "temperature_difference_k"
    reading = case.canonical(name)
    if reading is not None:
        bands = Bands(
            case.limits.temperature_difference_k,
            (False, False, True),
            ("alike", "possible", "probable", "major"),
        )
        yield in_bands(
            QUANTITIES[name].rule, name, reading, bands, ("within", "watch", "act", "stop"),
            case.limits.basis("temperature_difference_k"),
        )  # fmt: skip
