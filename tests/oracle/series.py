"""Rule 5's series: which readings belong together, and since when."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import isnan

from fleet.quantities import VERDICT_ORDER
from schedules.engine.record import FanRecord, Look, Vibration
from tests.oracle.moments import DONE, History, Place

RENEWED = ("wheel", "bearings", "motor", "sheaves")
CHANGED = ("balanced", "speed_changed", "remounted")
BAND = 0.05
LOWER_AFTER_CLEANING = 0.25
EPS = 1e-9

Key = tuple[str, str, str, int]


@dataclass
class Series:
    """Readings of one point, detector, meter and speed band since their last reset.

    ``since`` is the place of the wheel cleaning that made a difference, or the beginning.
    """

    key: Key
    exact: list[tuple[Place, Look, Vibration]] = field(default_factory=list)
    since: Place = (0, 0, 0, 0, 0)

    @property
    def point(self) -> str:
        return self.key[0]


@dataclass(frozen=True)
class Seen:
    """A look of the machine in place since the last reset, its worst reading of each series."""

    place: Place
    look: Look
    readings: dict[Key, Vibration]

    @property
    def as_found(self) -> bool:
        return self.look.stage == "as_found"

    def at(self, point: str) -> list[Vibration]:
        return [reading for reading in self.readings.values() if reading.point == point]


def last_reset(record: FanRecord, history: History) -> Place:
    """The place of the last action that makes a new machine of it, as far as shaking goes."""
    resets = [
        history.of_action(action, told)
        for told, action in enumerate(record.actions)
        if action.kind in CHANGED or (action.kind == "replaced" and action.item in RENEWED)
    ]
    return max(resets, default=(0, 0, 0, 0, 0))


class Bands:
    """Numbers the speed bands of each point, detector and meter; 0 is the plate's."""

    def __init__(self, plate_hz: float) -> None:
        self._plate_hz = plate_hz
        self._first_hz: dict[tuple[str, str, str], list[float]] = {}

    def of(self, reading: Vibration) -> int:
        if isnan(reading.hz) or abs(reading.hz - self._plate_hz) <= BAND * self._plate_hz:
            return 0
        known = self._first_hz.setdefault((reading.point, reading.detector, reading.meter), [])
        for number, first_hz in enumerate(known, start=1):
            if abs(reading.hz - first_hz) <= BAND * first_hz:
                return number
        known.append(reading.hz)
        return len(known)


def _badness(reading: Vibration) -> tuple[int, float]:
    return VERDICT_ORDER[reading.verdict], reading.value_mm_s


def looks_since_reset(record: FanRecord) -> list[Seen]:
    history = History(record)
    reset = last_reset(record, history)
    bands = Bands(record.machines[-1].hertz)
    seen = []
    for place, look in history.of_looks():
        if place < reset or look.machine != len(record.machines) - 1:
            continue
        worst: dict[Key, Vibration] = {}
        for reading in look.vibration:
            key = (reading.point, reading.detector, reading.meter, bands.of(reading))
            if key not in worst or _badness(reading) > _badness(worst[key]):
                worst[key] = reading
        seen.append(Seen(place, look, worst))
    return seen


def wheel_cleanings(record: FanRecord) -> list[Place]:
    history = History(record)
    places = [
        history.of_event(event, told)
        for told, event in enumerate(record.events)
        if event.kind == "hood_cleaning" and event.wheel_cleaned
    ]
    places += [
        history.of(DONE, action.day, action.minute, told)
        for told, action in enumerate(record.actions)
        if action.kind == "cleaned" and action.item == "wheel"
    ]
    return sorted(places)


def _made_a_difference(series: Series, cleaning: Place) -> bool:
    """Whether the reading after a wheel cleaning is much lower than the one before it."""
    before = [reading for place, _, reading in series.exact if place < cleaning]
    after = [reading for place, _, reading in series.exact if place > cleaning]
    if not before or not after:
        return False
    drop = before[-1].value_mm_s - after[0].value_mm_s
    return drop - LOWER_AFTER_CLEANING * after[0].start_mm_s > EPS


def all_series(record: FanRecord, seen: list[Seen]) -> dict[Key, Series]:
    """The series of the machine in place, each cut where a wheel cleaning reset it."""
    found: dict[Key, Series] = {}
    for one in seen:
        for key, reading in one.readings.items():
            series = found.setdefault(key, Series(key))
            if one.as_found and reading.exact:
                series.exact.append((one.place, one.look, reading))
    cleanings = wheel_cleanings(record)
    for series in found.values():
        cuts = [place for place in cleanings if _made_a_difference(series, place)]
        series.since = max(cuts, default=series.since)
        series.exact = [item for item in series.exact if item[0] > series.since]
    return found
