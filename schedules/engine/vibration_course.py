"""A machine's vibration followed in time: looks, resets, wheel cleanings, the owner's answers."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from math import isnan, nan
from operator import itemgetter

from schedules.engine.codes import ACT, STOP, WATCH, WITHIN
from schedules.engine.findings import Findings, steps
from schedules.engine.moments import Place, Timeline, day_end
from schedules.engine.parameters import DueParams
from schedules.engine.record import Decision, FanRecord, Look, Vibration
from schedules.engine.vibration_series import FELT, Level, Series, order, worst

RENEWING = frozenset({"wheel", "bearings", "motor", "sheaves"})
"""Items that, replaced, start vibration anew."""

RESETTING = frozenset({"balanced", "speed_changed", "remounted"})
VIBRATION_SUBJECTS = frozenset({"vibration", "vibration_felt"})
GRADES = {"none": WITHIN, "slight": WATCH, "strong": ACT, "violent": STOP}


class Course:
    """Follows the machine in place; ``series`` and ``felt`` hold what has come of it."""

    def __init__(self, record: FanRecord, params: DueParams) -> None:
        self._machine = len(record.machines) - 1
        self._plate_hz = record.machines[-1].hertz
        self._params = params
        self._bands: dict[tuple[str, str, str], list[Series]] = {}
        self._series: list[Series] = []
        self.felt = Series(FELT)
        self._felt_slight = False
        self._findings = Findings()
        marks = [*self._marks(record)]
        # A look's lasting mark must be known, or ended, before its levels are hushed.
        for _, take in sorted([*marks, *self._facts(record)], key=itemgetter(0)):
            take()
            if marks:
                self._hush()

    @property
    def series(self) -> list[Series]:
        """The measured ones, in order of point, detector and meter."""
        return [band for _, bands in sorted(self._bands.items()) for band in bands]

    def _facts(self, record: FanRecord) -> Iterator[tuple[Place, Callable[[], None]]]:
        """What to do with each fact, and its place in time."""
        timeline = Timeline(record.looks)
        for place, look in timeline.looks:
            if look.machine == self._machine and (look.vibration or look.felt):
                found = look.stage == "as_found"
                yield place, partial(self._look if found else self._look_left, look)
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

    def _marks(self, record: FanRecord) -> Iterator[tuple[Place, Callable[[], None]]]:
        """What tells which shaking of this machine is lasting, where any was ever marked so."""
        looks = (subject for look in record.looks for subject in look.lasting)
        notes = (note.subject or note.item for note in record.noted if note.lasting)
        if VIBRATION_SUBJECTS.isdisjoint((*looks, *notes)):
            return
        since = record.machines[-1].since_day if self._machine else 0
        for place, take, fact in steps(record, self._findings):
            of_another = isinstance(fact, Look) and fact.machine != self._machine
            if not of_another and fact.day >= since:
                yield place, partial(take, fact)

    def _begin_anew(self) -> None:
        self._bands.clear()
        self._series.clear()
        self.felt.begin_anew()
        self._felt_slight = False
        for subject in VIBRATION_SUBJECTS:
            self._findings.forget(subject)

    def _clean_wheel(self) -> None:
        for series in self._series:
            series.wheel_cleaned = True

    def _make_safe(self) -> None:
        """A stop that stands is made safe; the next is a new one."""
        for series in (*self._series, self.felt):
            if _stopped(series):
                series.level, series.held = None, WITHIN

    def _answer(self, said: Decision) -> None:
        for series in (*self._series, self.felt):
            level = series.level
            if level and level.verdict == ACT and level.crossed_day < said.day:
                if said.answer == "not_now":
                    level.move(said.day)
                level.declined |= said.answer == "declined"

    def _hush(self) -> None:
        """A fault known as lasting raises no date up to the verdict marked, which is never stop."""
        measured = self._findings.lasting_up_to("vibration")
        by_hand = self._findings.lasting_up_to("vibration_felt")
        for series in (*self._series, self.felt):
            known = by_hand if series is self.felt else measured
            if series.level and series.level.verdict <= known:
                series.level.hushed = True

    def _look(self, look: Look) -> None:
        own = self._own_readings(look)
        for series, reading in own:
            if series.drops_clean(reading, self._params):
                series.begin_anew()
        crossing = self._settle(look, own)
        if look.felt:
            for series in self._series:
                series.settle_by_hand()
            self._feel(GRADES[look.felt], look.day)
        for series, reading in own:
            series.take(reading, look.day, self._params)
        for series, reading in crossing:
            series.cross(reading, look.day)

    def _look_left(self, look: Look) -> None:
        """What is left opens nothing, but below stop it ends a stop; still at act, it crosses.

        The hertz it names begins a speed band like any other.
        """
        own = self._own_readings(look)
        if any(_stopped(series) for series in self._series):
            for series, reading in self._settle(look, own):
                series.cross(reading, look.day)
        if look.felt and _stopped(self.felt) and GRADES[look.felt] < STOP:
            seen_before = self._felt_slight
            self._feel(GRADES[look.felt], look.day)
            # Only what is found counts as seen: a slight left behind is new when it is found.
            self._felt_slight = seen_before

    def _own_readings(self, look: Look) -> list[tuple[Series, Vibration]]:
        """Each series read at this look, with its worst reading."""
        if len(look.vibration) == 1:
            return [(self._series_of(look.vibration[0]), look.vibration[0])]
        by_series: dict[int, tuple[Series, list[Vibration]]] = {}
        for reading in look.vibration:
            series = self._series_of(reading)
            by_series.setdefault(id(series), (series, []))[1].append(reading)
        return [(series, worst(readings)) for series, readings in by_series.values()]

    def _settle(
        self, look: Look, own: list[tuple[Series, Vibration]]
    ) -> list[tuple[Series, Vibration]]:
        """Take the look as the one owed at its points; gives acts that end a stop, to be crossed.

        A series read itself goes by its own reading, else by those of other meters at its point.
        """
        found, by_own = look.stage == "as_found", {id(series): reading for series, reading in own}
        crossing = []
        for series in self._series:
            if not (series.level or series.step):
                continue
            others = [each for each in look.vibration if each.point == series.point]
            readings = [by_own[id(series)]] if id(series) in by_own else others
            if not readings:
                continue
            ended = (
                series.settle(readings, look.day, self._params)
                if found
                else series.end_stop(readings)
            )
            if ended and order(worst(readings)) == ACT:
                crossing.append((self._series_of(worst(readings)), worst(readings)))
        return crossing

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
        series = Series(reading.point, hz)
        bands.append(series)
        self._series.append(series)
        return series

    def _in_band(self, hz: float, about_hz: float) -> bool:
        return abs(hz - about_hz) <= self._params.level.speed_band * about_hz


def _stopped(series: Series) -> bool:
    return series.level is not None and series.level.verdict == STOP
