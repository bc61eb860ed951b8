"""A machine's vibration followed in time: looks, resets, wheel cleanings, the owner's answers."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from math import isnan, nan
from operator import itemgetter

from schedules.engine.codes import ACT, STOP, WATCH, WITHIN
from schedules.engine.moments import Place, Timeline, day_end
from schedules.engine.parameters import DueParams
from schedules.engine.record import Decision, FanRecord, Look, Vibration
from schedules.engine.vibration_series import FELT, Level, Series, order, worst

RENEWING = frozenset({"wheel", "bearings", "motor", "sheaves"})
"""Items that, replaced, start vibration anew."""

RESETTING = frozenset({"balanced", "speed_changed", "remounted"})
GRADES = {"none": WITHIN, "slight": WATCH, "strong": ACT, "violent": STOP}


class Course:
    """Follows the machine in place; ``series`` and ``felt`` hold what has come of it."""

    def __init__(self, record: FanRecord, params: DueParams) -> None:
        self._machine = len(record.machines) - 1
        self._plate_hz = record.machines[-1].hertz
        self._params = params
        self._bands: dict[tuple[str, str, str], list[Series]] = {}
        self.felt = Series(FELT)
        self._felt_slight = False
        for _, take in sorted(self._facts(record), key=itemgetter(0)):
            take()

    @property
    def series(self) -> list[Series]:
        """The measured ones, in order of point, detector and meter."""
        return [band for _, bands in sorted(self._bands.items()) for band in bands]

    def _facts(self, record: FanRecord) -> Iterator[tuple[Place, Callable[[], None]]]:
        """What to do with each fact, and its place in time."""
        timeline = Timeline(record.looks)
        for place, look in timeline.looks:
            if look.machine == self._machine and (look.vibration or look.felt):
                yield place, partial(self._look, look)
        for action in record.actions:
            place = timeline.work(action.day, action.minute)
            if action.kind in RESETTING or (action.kind == "replaced" and action.item in RENEWING):
                yield place, self._begin_anew
            elif action.kind == "cleaned" and action.item == "wheel":
                yield place, self._clean_wheel
        for event in record.events:
            if event.kind == "hood_cleaning" and event.wheel_cleaned:
                yield timeline.work(event.end_day, event.end_minute), self._clean_wheel
        for decision in record.decisions:
            if decision.subject == "vibration":
                yield day_end(decision.day), partial(self._answer, decision)
        for span in record.out_of_service:
            yield day_end(span.day), self._make_safe

    def _begin_anew(self) -> None:
        self._bands.clear()
        self.felt.begin_anew()
        self._felt_slight = False

    def _clean_wheel(self) -> None:
        for series in self.series:
            series.wheel_cleaned = True

    def _make_safe(self) -> None:
        """A stop that stands is made safe; the next is a new one."""
        for series in (*self.series, self.felt):
            if series.level and series.level.verdict == STOP:
                series.level, series.held = None, WITHIN

    def _answer(self, said: Decision) -> None:
        for series in (*self.series, self.felt):
            level = series.level
            if level and level.verdict == ACT and level.crossed_day < said.day:
                if said.answer == "not_now":
                    level.move(said.day)
                level.declined |= said.answer == "declined"

    def _look(self, look: Look) -> None:
        if look.stage != "as_found":
            self._see_left(look)
            return
        own = self._own_readings(look)
        for series, reading in own:
            if series.drops_clean(reading, self._params):
                series.begin_anew()
        after_stop = self._settle(look, own)
        if look.felt:
            for series in self.series:
                series.settle_by_hand()
            self._feel(GRADES[look.felt], look.day)
        for series, reading in own:
            series.take(reading, look.day, self._params)
        for reading in after_stop:
            self._series_of(reading).cross(reading, look.day)

    def _own_readings(self, look: Look) -> list[tuple[Series, Vibration]]:
        """Each series read at this look, with its worst reading."""
        by_series: dict[int, tuple[Series, list[Vibration]]] = {}
        for reading in look.vibration:
            series = self._series_of(reading)
            by_series.setdefault(id(series), (series, []))[1].append(reading)
        return [(series, worst(readings)) for series, readings in by_series.values()]

    def _settle(self, look: Look, own: list[tuple[Series, Vibration]]) -> list[Vibration]:
        """Take the look as the one owed at its points; gives what ended a stop with an act.

        A series read itself goes by its own reading, else by those of other meters at its point.
        """
        after_stop = []
        by_own = {id(series): [reading] for series, reading in own}
        for series in self.series:
            others = [each for each in look.vibration if each.point == series.point]
            readings = by_own.get(id(series), others)
            if readings and series.settle(readings, look.day, self._params):
                after_stop.append(worst(readings))
        return [reading for reading in after_stop if order(reading) == ACT]

    def _see_left(self, look: Look) -> None:
        """As left, a point below stop ends a stop; a reading that is still act is a crossing."""
        for series in self.series:
            readings = [each for each in look.vibration if each.point == series.point]
            if readings and series.end_stop(readings) and order(worst(readings)) == ACT:
                self._series_of(worst(readings)).cross(worst(readings), look.day)
        level = self.felt.level
        if look.felt and level and level.verdict == STOP and GRADES[look.felt] < STOP:
            self._feel(GRADES[look.felt], look.day)

    def _feel(self, seen: int, day: int) -> None:
        """Take a grade: slight once seen is within, a milder grade leaves the level at once."""
        felt = self.felt
        if seen == WATCH:
            seen, self._felt_slight = WITHIN if self._felt_slight else WATCH, True
        if seen > felt.held or (seen == ACT and felt.held == STOP):
            felt.level = Level(seen, day, day)
        elif seen == ACT and felt.level:
            felt.level.move(day)
        elif seen < STOP:
            felt.level = None
        felt.held = seen

    def _series_of(self, reading: Vibration) -> Series:
        """The series of a reading; a speed away from the plate's and all bands begins a band."""
        bands = self._bands.setdefault((reading.point, reading.detector, reading.meter), [])
        hz = nan if self._in_band(reading.hz, self._plate_hz) else reading.hz
        for band in bands:
            if (isnan(hz) and isnan(band.hz)) or self._in_band(hz, band.hz):
                return band
        bands.append(Series(reading.point, hz))
        return bands[-1]

    def _in_band(self, hz: float, about_hz: float) -> bool:
        return abs(hz - about_hz) <= self._params.level.speed_band * about_hz
