"""Charts of vibration: measured, one for each detector, and felt by hand."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from django.utils.translation import gettext as _

from fleet.quantities import QUANTITIES, VIBRATION_POINTS
from fleet.units import convert
from schedules.charts import Chart, Limit, Point, Series
from schedules.fan_page.seen import BAD, Seen, Speeds, limit, shown, unit_typed
from visits.wording import PLACES, STAGES, STATES, VERDICTS, words
from visits.wording.names import upper_first

DETECTORS = ("rms", "peak", None)
FELT = QUANTITIES["vibration_felt"].state_codes


def measured_charts(
    seen: Sequence[Seen], plate_hz: float | None, cuts: Sequence[int]
) -> Iterator[Chart]:
    """One chart for each detector: limits differ by it, readings are not compared across."""
    for detector in DETECTORS:
        mine = [one for one in seen if one.check.vibration_detector == detector]
        places = [place for place in VIBRATION_POINTS if shown(mine, _column(place))]
        if places:
            unit = unit_typed(mine, _column(places[0]))
            series = [
                each for place in places for each in _by_speed(mine, place, unit, plate_hz, cuts)
            ]
            title = _("Vibration, {detector}").format(detector=detector or _("not named how read"))
            yield Chart(title, unit, series, _limits(mine, unit))


def _column(place: str) -> str:
    return f"vibration_{place}_mm_s"


def _by_speed(
    seen: Sequence[Seen], place: str, unit: str, plate_hz: float | None, cuts: Sequence[int]
) -> Iterator[Series]:
    """One point's readings, apart by kind of meter and by speed."""
    name = _column(place)
    speeds = Speeds(plate_hz)
    grouped: dict[tuple[str, str], list[Point]] = defaultdict(list)
    for one, value in shown(seen, name):
        band = speeds.name(one.check.vibration_hz)
        meter = one.check.vibration_meter or ""
        point = one.point(name, convert(value, "mm/s", unit))
        grouped["" if meter == "overall" else meter, band].append(point)
    for (meter, band), points in grouped.items():
        parts = (words(PLACES, place), meter, band)
        yield Series(upper_first(", ".join(part for part in parts if part)), points, cuts)


def _limits(seen: Sequence[Seen], unit: str) -> list[Limit]:
    """Limits of the newest reading judged in the chart's unit."""
    for one in reversed(seen):
        for each in one.judgements:
            if each.subject == "vibration" and each.unit == unit and "alarm" in each.args:
                named = {"start": _("start-up"), "alarm": _("alarm"), "stop": _("stop")}
                return [limit(each.args[name], text, unit) for name, text in named.items()]
    return []


def felt_chart(seen: Sequence[Seen], cuts: Sequence[int]) -> Iterator[Chart]:
    """Vibration by hand, on a scale of words; not drawn where nobody ever felt any."""
    points = [_felt(one) for one in seen if one.check.vibration_felt is not None]
    if any(point.value for point in points):
        steps = {float(n): words(STATES, grade) for n, grade in enumerate(FELT)}
        yield Chart(_("Vibration by hand"), "", [Series(_("By hand"), points, cuts)], steps=steps)


def _felt(one: Seen) -> Point:
    grade, verdict = one.check.vibration_felt, one.verdict("vibration_felt")
    as_left = one.check.stage == "as_left"
    notes = [words(VERDICTS, verdict), words(STAGES, "as_left") if as_left else ""]
    return Point(
        day=one.day,
        value=float(FELT.index(grade)),
        text=words(STATES, grade),
        note=", ".join(note for note in notes if note),
        is_loose=as_left,
        is_bad=verdict in BAD,
        machine=one.check.machine_id,
    )
