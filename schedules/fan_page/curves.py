"""A fan's readings as charts on one time axis, with their limits and what happened between."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.quantities import GREASE_PLACES
from schedules.charts import Chart, Drawing, Mark, draw
from schedules.charts.times import time_scale
from schedules.fan_page.gathering import FanFile
from schedules.fan_page.happenings import cleanings_of, marks_of
from schedules.fan_page.judged import Judged, drawn_checks
from schedules.fan_page.kinds import charts_of
from schedules.fan_page.seen import Seen
from schedules.wording import day_text


@dataclass(frozen=True)
class Charts:
    """Drawings under each other; ``key`` tells what the letters of the time axis mean."""

    drawings: list[Drawing]
    key: list[tuple[str, str]]
    happened: Sequence[Mark]

    @property
    def has_loose(self) -> bool:
        """Whether any point is drawn hollow."""
        return self._has("loose")

    @property
    def has_bad(self) -> bool:
        """Whether any point is drawn with a ring."""
        return self._has("bad")

    def _has(self, kind: str) -> bool:
        return any(
            point.kind == kind
            for drawing in self.drawings
            for series in drawing.series
            for point in series.points
        )


def draw_charts(file: FanFile, judged: Judged) -> Charts | None:
    """Charts of what was read in the last two years; None where nothing was."""
    seen = [Seen(file.day_of(check), check, judged[check.pk]) for check in drawn_checks(file)]
    marks = marks_of(file)
    # what was found on the day of the work came before it
    cuts = [mark.day + 1 for mark in marks if mark.cuts]
    cleaned = {place: cleanings_of(file, place) for place in GREASE_PLACES}
    plate_hz = file.machine.hertz if file.machine else None
    charts = _worth_drawing(charts_of(seen, plate_hz, cuts, cleaned))
    if not charts:
        return None
    times = time_scale([one.day for one in seen], file.today.toordinal())
    shown = [mark for mark in marks if times.shows(mark.day)]
    key = dict.fromkeys((mark.letter, mark.kind) for mark in shown)
    return Charts([draw(chart, times, shown, summary(chart)) for chart in charts], list(key), shown)


def _worth_drawing(charts: Iterable[Chart]) -> list[Chart]:
    """Charts with a course to show; a lone reading stands in its entry, with its limit."""
    return [chart for chart in charts if any(len(series.points) > 1 for series in chart.series)]


def summary(chart: Chart) -> str:
    """A chart in words: how many readings, the last of each series, the limits."""
    told = []
    for series in chart.series:
        last = series.points[-1]
        told.append(
            ngettext(
                "{name}: one reading, {text} on {day}.",
                "{name}: {count} readings, the last {text} on {day}.",
                len(series.points),
            ).format(
                name=series.name, count=len(series.points), text=last.text, day=day_text(last.day)
            )
        )
    limits = ", ".join(limit.text for limit in chart.limits)
    return " ".join(
        [*told, _("Lines across: {limits}.").format(limits=limits) if limits else ""]
    ).strip()
