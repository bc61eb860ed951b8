"""Which charts a fan's readings make, and the limits that stand in them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence

from django.utils.translation import gettext as _

from fleet.quantities import GREASE_PLACES
from fleet.units import convert
from schedules.charts import Chart, Limit, Point, Series
from schedules.fan_page.seen import Seen, Speeds, limit, shown, unit_typed
from schedules.fan_page.shaking import felt_chart, measured_charts
from visits.limits import DEFAULT_LIMITS
from visits.wording import PLACES, words
from visits.wording.figures import UNIT_SIGNS
from visits.wording.names import upper_first

LINES = ("volts_ab_v", "volts_bc_v", "volts_ca_v")
LEGS = ("amps_a_a", "amps_b_a", "amps_c_a")
ALIKE_SHARE = 0.05
"""Legs apart by no more than this share of the highest are one line on paper."""
AT_40C = ("thermoplastic_megohm", "thermosetting_megohm")


def charts_of(
    seen: Sequence[Seen],
    plate_hz: float | None,
    cuts: Sequence[int],
    cleaned: Mapping[str, Sequence[int]],
) -> Iterator[Chart]:
    """Every chart that has anything to show, in the order of the page.

    Lines of vibration break at ``cuts``, those of grease where the place was ``cleaned``.
    """
    yield from measured_charts(seen, plate_hz, cuts)
    yield from felt_chart(seen, cuts)
    yield from _electrical(seen, _("Current"), "A", _legs(seen, plate_hz), _amps_limits)
    yield from _electrical(seen, _("Volts"), "V", _lines(seen), _volts_limits)
    for place in GREASE_PLACES:
        yield from _grease(seen, place, cleaned[place])
    yield from _insulation(seen)


def _electrical(
    seen: Sequence[Seen],
    title: str,
    unit: str,
    series: list[Series],
    limits_of: Callable[[Seen], list[Limit]],
) -> Iterator[Chart]:
    """Lines or legs of one quantity, each a series of its own."""
    if series:
        told = (limits_of(one) for one in reversed(seen))
        limits: list[Limit] = next((each for each in told if each), [])
        yield Chart(title, unit, series, limits, from_zero=unit == "A")


def _legs(seen: Sequence[Seen], plate_hz: float | None) -> list[Series]:
    """The legs' readings, apart by the drive's speed: less is drawn at less."""
    speeds = Speeds(plate_hz)
    by_speed: dict[str, list[Seen]] = defaultdict(list)
    for one in seen:
        if _amps(one):
            by_speed[speeds.name(one.check.supply_hz or one.check.vibration_hz)].append(one)
    return [
        Series(", ".join(part for part in (name, band) if part), points)
        for band, read in by_speed.items()
        for name, points in _legs_at_one_speed(read)
    ]


def _amps(one: Seen) -> dict[str, float]:
    """The legs read, by name."""
    read = {name: getattr(one.check, name) for name in LEGS}
    return {name: value for name, value in read.items() if value is not None}


def _legs_at_one_speed(seen: Sequence[Seen]) -> Iterator[tuple[str, list[Point]]]:
    """Each leg with its points; legs that would lie on each other are drawn once, by the highest.

    What each of them read stands in the figures.
    """
    read = [(one, _amps(one)) for one in seen]
    names = [name for name in LEGS if any(name in amps for _, amps in read)]
    if len(names) > 1 and all(_are_alike(amps.values()) for _, amps in read):
        letters = ", ".join(name.split("_")[1].upper() for name in names)
        points = [one.point_of_all(LEGS, max(amps.values())) for one, amps in read]
        yield _("Legs {letters}").format(letters=letters), points
        return
    for name in names:
        yield _line_name(name), [one.point(name, amps[name]) for one, amps in read if name in amps]


def _are_alike(amps: Collection[float]) -> bool:
    return max(amps) - min(amps) <= ALIKE_SHARE * max(amps)


def _lines(seen: Sequence[Seen]) -> list[Series]:
    return [
        Series(_line_name(name), [one.point(name, value) for one, value in readings])
        for name in LINES
        if (readings := shown(seen, name))
    ]


def _line_name(name: str) -> str:
    kind, line, _suffix = name.split("_")
    letters = "–".join(line.upper())
    named = _("Line {letters}") if kind == "volts" else _("Leg {letters}")
    return named.format(letters=letters)


def _amps_limits(one: Seen) -> list[Limit]:
    args = one.args("amps", "full_load_a")
    return [limit(args["full_load_a"], _("full load"), "A")] if args else []


def _volts_limits(one: Seen) -> list[Limit]:
    args = one.args("volts", "low")
    if not args:
        return []
    return [limit(args["low"], _("least"), "V"), limit(args["high"], _("most"), "V")]


def _grease(seen: Sequence[Seen], place: str, cleaned: Sequence[int]) -> Iterator[Chart]:
    """Depth at one place by the upper end of the comb, which is what is judged."""
    name = f"grease_{place}_high_um"
    readings = shown(seen, name)
    if readings:
        unit, where = unit_typed(seen, name), words(PLACES, place)
        points = [one.point(name, convert(value, "um", unit)) for one, value in readings]
        full = limit(DEFAULT_LIMITS.grease_limit(place, unit), _("limit"), unit)
        title = _("Grease, {place}").format(place=where)
        series = Series(upper_first(where), points, cleaned)
        yield Chart(title, UNIT_SIGNS.get(unit, unit), [series], [full])


def _insulation(seen: Sequence[Seen]) -> Iterator[Chart]:
    """The worse of both corrections to 40 degrees, by powers of ten."""
    points = []
    for one in seen:
        args = one.args("insulation", AT_40C[0])
        corrected = [args[way] for way in AT_40C if args.get(way)]
        if corrected:
            points.append(one.point("insulation_megohm", min(corrected)))
    if points:
        _bad, least, good = DEFAULT_LIMITS.insulation_megohm
        limits = [limit(least, _("least"), "megohm"), limit(good, _("good from"), "megohm")]
        title = _("Insulation at 40 °C")
        yield Chart(title, "MΩ", [Series(title, points)], limits, is_log=True)
