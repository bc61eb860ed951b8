"""Current in each leg against full load, a lost phase, and unbalance."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fleet.quantities import THREE_PHASE, Verdict
from visits.limits.basis import Basis
from visits.limits.case import LEGS, LINES, Case
from visits.limits.giving import cannot, cannot_missing, cannot_qualified, in_bands
from visits.limits.judgement import Judgement
from visits.limits.readings import Bands, Span, up_to
from visits.limits.spread import spread_of

SERVICE_FACTORS = (1.0, 1.4)
"""Least and greatest of NEMA MG-1 table 12-4 (from memory), for a plate that cannot be read."""
FULL_SPEED_SHARE = 0.95


def amps_row(case: Case) -> Iterator[Judgement]:
    """Each leg against full-load amperes of the rating in use; the worst leg is named."""
    legs = {name: reading for name in LEGS if (reading := case.canonical(name))}
    if not legs:
        return
    first = next(iter(legs))
    on_drive = case.feed.control == "drive"
    full_load_a = case.full_load_a()
    if on_drive and not case.context.amps_place:
        yield cannot_missing("amps", first, ["amps_place"])
    elif on_drive and case.context.amps_place == "line":
        yield cannot("amps", "amps.at_drive_input", first)
    elif full_load_a is None:
        yield case.no_full_load("amps", first)
    else:
        yield _amps_judged(case, legs, full_load_a)


def _amps_judged(case: Case, legs: dict[str, Span], full_load_a: float) -> Judgement:
    near = _volts_near(case)
    if not case.plate.cannot_read("service_factor"):
        return _by_factor(case, legs, full_load_a, case.plate.service_factor or 1.0, near)
    least, greatest = (_by_factor(case, legs, full_load_a, sf, near) for sf in SERVICE_FACTORS)
    if least.verdict == greatest.verdict:
        return least
    return cannot_missing("amps", least.quantity, ["service_factor"], ["service_factor"])


def _volts_near(case: Case) -> bool | None:
    """Whether every line is within 5 % of the rating; None where not all are measured."""
    wanted = LINES[:1] if case.is_three_phase is False else LINES
    volts = case.exact(wanted)
    if len(volts) < len(wanted):
        return None
    rating = near_rating_v(case)
    if rating is None:
        return None
    slack = case.limits.volts_near_ratio * rating * (1 + 1e-9)
    return all(abs(value - rating) <= slack for value in volts)


def near_rating_v(case: Case) -> float | None:
    """The volts [V] that lines must be near to for current to be allowed its service factor."""
    return case.feed.drive_input_volts if case.feed.control == "drive" else case.full_load_v()


AMPS: dict[str, Verdict] = {
    "within": "within",
    "in_service_factor": "watch",
    "above_full_load": "act",
    "far_above_full_load": "stop",
}


def amps_bands(case: Case, full_load_a: float, factor: float, near: bool | None) -> Bands:
    """What each leg is judged by; ``near`` says whether every line is near the rating."""
    top = max(case.limits.current_stop_ratio, factor) * full_load_a
    if near and factor * full_load_a < top:
        cuts: tuple[float, ...] = (full_load_a, factor * full_load_a, top)
        return up_to(cuts, *AMPS)
    middle = "in_service_factor" if near else "above_full_load"
    return up_to((full_load_a, top), "within", middle, "far_above_full_load")


def _by_factor(
    case: Case, legs: dict[str, Span], full_load_a: float, factor: float, near: bool | None
) -> Judgement:
    bands = amps_bands(case, full_load_a, factor, near)
    name, place = _worst_leg(legs, bands)
    if place is None:
        return cannot_qualified("amps", name, legs[name])
    code = bands.codes[place]
    verdict = AMPS[code]
    if place == 0 and _is_low(case, legs, full_load_a):
        code = "low"
    args = {
        "legs": tuple(leg.typed for leg in legs.values()), "full_load_a": full_load_a,
        "service_factor": factor, "share": (legs[name].typed or 0.0) / full_load_a,
        "suggested": case.suggested, "volts_known": near is not None,
    }  # fmt: skip
    return Judgement(
        "amps", f"amps.{code}", verdict, "motor", name, case.limits.basis("current_stop_ratio"),
        legs[name].typed, "A", bands.cuts[max(place - 1, 0)], args, legs[name].qualifier,
    )  # fmt: skip


def _worst_leg(legs: dict[str, Span], bands: Bands) -> tuple[str, int | None]:
    """The leg in the highest band; one that cannot be told counts unless another is bad."""
    placed = {name: bands.place(leg) for name, leg in legs.items()}
    known = [place for place in placed.values() if place is not None]
    worst = max(known, default=0)
    if worst == 0 and len(known) < len(placed):
        return next(name for name, place in placed.items() if place is None), None
    highest = [name for name, place in placed.items() if place == worst]
    return max(highest, key=lambda name: legs[name].low), worst


def _is_low(case: Case, legs: dict[str, Span], full_load_a: float) -> bool:
    """A remark only, and only at full speed: a fan turned down draws little by design."""
    cut = case.limits.current_low_ratio * full_load_a
    return _at_full_speed(case) and all(leg.high < cut for leg in legs.values())


def _at_full_speed(case: Case) -> bool:
    if case.feed.control != "drive":
        return case.feed.control != "triac"
    hertz = [*case.exact(["supply_hz"]), case.context.vibration_hz]
    known = next((value for value in hertz if value), None)
    rated = case.plate.hertz
    return known is not None and rated is not None and known >= FULL_SPEED_SHARE * rated


def _three_legs(case: Case) -> list[Span] | None:
    """All three legs of a running motor whose own current they are."""
    fed = case.feed.control != "drive" or case.context.amps_place == "drive_output"
    runs = case.states.get("running", "runs") == "runs"
    return case.all_of(LEGS) if fed and runs else None


def phases_rows(case: Case) -> Iterator[Judgement]:
    """Lost phase and unbalance of a three-phase induction motor's current, running.

    Silent where the check says that it does not run: rules.md B asks both of a running motor, and
    none of a standing one's legs tells of the supply: all at 0 A behind an open switch or overload
    lack no phase.  Its volts are live at the disconnect and judged all the same, line by line and
    for unbalance, where a phase that is gone shows; a motor that hums at locked rotor is far above
    full load by ``amps_row``.
    """
    legs = _three_legs(case)
    if legs is None or sum(leg.high for leg in legs) <= 0:
        return
    if not case.plate.motor_type:
        for subject in ("lost_phase", "amps_unbalance"):
            yield cannot_missing(subject, LEGS[0], ["motor_type"])
    elif case.plate.motor_type == THREE_PHASE:
        yield _lost_phase(case, legs)
        yield from _unbalance(case, legs)


def _lost_phase(case: Case, legs: list[Span]) -> Judgement:
    share = case.limits.lost_phase_ratio
    bands = Bands((share,), (False,), ("lost", "none"))
    places = [bands.place(_share_of_others(legs, index)) for index in range(3)]
    basis = case.limits.basis("lost_phase_ratio")
    if 0 in places:
        return _phase(basis, legs, places.index(0), "lost")
    if None in places:
        unknown = places.index(None)
        return cannot_qualified("lost_phase", LEGS[unknown], legs[unknown])
    return _phase(basis, legs, 0, "none")


def _phase(basis: Basis, legs: list[Span], leg: int, code: str) -> Judgement:
    verdict: Verdict = "stop" if code == "lost" else "within"
    args = {"legs": tuple(reading.typed for reading in legs), "leg": leg + 1}
    return Judgement(
        "lost_phase", f"lost_phase.{code}", verdict, "supply", LEGS[leg], basis,
        legs[leg].typed, "A", None, args,
    )  # fmt: skip


def _share_of_others(legs: Sequence[Span], index: int) -> Span:
    """One leg's current over the mean of the other two, as far as the readings tell."""
    leg = legs[index]
    others = [other for place, other in enumerate(legs) if place != index]
    low_mean, high_mean = (
        sum(end) / 2 for end in ([o.low for o in others], [o.high for o in others])
    )
    low = leg.low / high_mean if high_mean > 0 else 0.0
    high = leg.high / low_mean if low_mean > 0 else float("inf")
    exact = all(reading.is_exact for reading in legs)
    return Span(low, high, "", leg.typed, "" if exact else "<")


def _unbalance(case: Case, legs: list[Span]) -> Iterator[Judgement]:
    spread = spread_of(legs)
    if spread is not None:
        yield in_bands(
            "amps_unbalance", spread.furthest(LEGS), spread.percent,
            up_to(case.limits.current_unbalance_percent, "within", "some", "high"),
            ("within", "watch", "act"), case.limits.basis("current_unbalance_percent"),
            values=spread.values, mean=spread.mean,
        )  # fmt: skip
