"""Rule 5a: what a level crossed asks for, and what a later look does to it."""

from __future__ import annotations

from dataclasses import dataclass

from fleet.quantities import VERDICT_ORDER, item_of
from schedules.engine.record import Decision, FanRecord, Look, OutOfService, Vibration
from tests.oracle.follow_up import Step, Subject, follow, steps_of, worse
from tests.oracle.moments import CLOSED, History, Live, Place
from tests.oracle.series import Key, Seen, Series, last_reset

WATCH_DAYS = 30
ACT_DAYS = (14, 30, 60)
BELOW = 0.9 - 1e-9  # 11.43 of 12.7 is not below
FELT = {"none": "within", "slight": "watch", "strong": "act", "violent": "stop"}


@dataclass
class Level:
    """Where one series stands: its level, and the date that stands for it, if any."""

    level: str = "within"
    standing: str = ""
    crossed_day: int = 0
    set_day: int = 0
    due: int = 0
    count: int = 0
    declined: bool = False
    slight_seen: bool = False
    muted: bool = False

    @property
    def speaks(self) -> bool:
        return self.standing != "" and not self.muted

    def cross(self, verdict: str, day: int) -> None:
        days = {"watch": WATCH_DAYS, "act": ACT_DAYS[0], "stop": 0}[verdict]
        self.level = self.standing = verdict
        self.crossed_day = self.set_day = day
        self.due, self.count = day + days, 0
        self.declined = self.muted = False

    def move_act(self, day: int) -> None:
        self.count += 1
        days = ACT_DAYS[min(self.count, len(ACT_DAYS) - 1)]
        self.set_day, self.due = day, day + days * (2 if self.declined else 1)

    def end(self, level: str) -> None:
        self.level, self.standing, self.declined = level, "", False

    def live(self, why: str) -> Live:
        overdue = self.due if self.standing == "stop" else self.due + 3
        return Live(5, self.due, overdue, self.set_day, self.standing == "stop", why)


def below_stop(verdict: str) -> bool:
    return verdict in ("within", "watch", "act")


def fallen(level: str, reading: Vibration) -> str:
    """The level after a reading with no worse verdict: it falls only well below a limit."""
    if level == "act" and reading.of_alarm < BELOW:
        level = "watch"
    if level == "watch" and reading.of_start < BELOW:
        level = "within"
    return level


def own_reading(state: Level, reading: Vibration, day: int) -> None:
    """What an as-found reading of the series itself does."""
    verdict = reading.verdict
    if state.standing == "watch":
        state.standing = ""
    if verdict == "cannot_judge":
        if state.standing == "act":
            state.move_act(day)
    elif worse(verdict, state.level):
        state.cross(verdict, day)
    elif state.level == "stop":
        if verdict == "act":
            state.cross("act", day)
        elif verdict != "stop":
            state.end(verdict)
    else:
        level = fallen(state.level, reading)
        if level == "act" and state.standing == "act":
            state.move_act(day)
        elif level != state.level:
            state.end(level)


def other_reading(state: Level, readings: list[Vibration], day: int) -> None:
    """What another meter's as-found readings of the same point do; the worst of them counts."""
    verdict = max((reading.verdict for reading in readings), key=VERDICT_ORDER.__getitem__)
    if state.standing == "watch":
        state.standing = ""
    elif state.level == "act":
        if all(reading.of_alarm < BELOW for reading in readings):
            highest = max(readings, key=lambda reading: reading.of_start)
            state.end(fallen("act", highest))
        elif state.standing == "act":
            state.move_act(day)
    elif state.standing == "stop" and below_stop(verdict):
        state.end(verdict)


def felt_grade(state: Level, grade: str, day: int) -> None:
    """What an as-found grade by hand does to the felt series; any lower grade leaves a level."""
    verdict = "within" if grade == "slight" and state.slight_seen else FELT[grade]
    state.slight_seen = state.slight_seen or grade == "slight"
    if state.standing == "watch":
        state.standing = ""
    if worse(verdict, state.level) or (state.level == "stop" and verdict == "act"):
        state.cross(verdict, day)
    elif verdict != state.level:
        state.end(verdict)
    elif state.standing == "act":
        state.move_act(day)


def _since_reset(record: FanRecord) -> list[Step]:
    """What happened to the machine in place since it was last made as new."""
    reset, machine = last_reset(record, History(record)), len(record.machines) - 1
    installed = 0 if machine == 0 else record.machines[-1].since_day
    return [
        (place, step)
        for place, step in steps_of(record)
        if place > reset
        and (step.machine == machine if isinstance(step, Look) else place[0] >= installed)
    ]


class Levels:
    """Walks through what happened to a machine since its last reset, in order."""

    def __init__(self, record: FanRecord, seen: list[Seen], series: dict[Key, Series]) -> None:
        self.series = series
        self.states = {key: Level() for key in series}
        self.felt = Level()
        self.measured_fault = Subject("vibration", item_of("vibration"))
        self.felt_fault = Subject("vibration_felt", item_of("vibration_felt"))
        self._seen = {one.place: one for one in seen}
        steps: list[tuple[Place, object]] = [*_since_reset(record)]
        for told, span in enumerate(record.out_of_service):
            steps.append((History.end_of_day(CLOSED + 1, span.day, told), span))
        for place, step in sorted(steps, key=lambda placed: placed[0]):
            self._take(place, step)
            self._mute(self.measured_fault, *self.states.values())
            self._mute(self.felt_fault, self.felt)

    def _take(self, place: Place, step: object) -> None:
        if isinstance(step, OutOfService):
            self._made_safe(step.day)
            return
        follow(self.measured_fault, step)
        follow(self.felt_fault, step)
        if isinstance(step, Decision):
            self._answered(step)
        elif isinstance(step, Look) and step.stage == "as_found":
            self._as_found(self._seen[place])
        elif isinstance(step, Look):
            self._as_left(self._seen[place])

    def _mute(self, fault: Subject, *states: Level) -> None:
        """A level no worse than the verdict that is marked lasting raises no date any more."""
        for state in states:
            if state.standing and not worse(state.standing, fault.lasting_verdict):
                state.muted = True

    def _as_found(self, seen: Seen) -> None:
        day, still_at_act = seen.look.day, set()
        for key, state in self.states.items():
            if seen.place < self.series[key].since:
                continue
            if seen.look.felt and state.standing == "watch":
                state.standing = ""
            if key in seen.readings:
                own_reading(state, seen.readings[key], day)
            elif seen.at(key[0]):
                stopped = state.standing == "stop"
                other_reading(state, seen.at(key[0]), day)
                if stopped and state.standing != "stop":
                    still_at_act.add(key[0])
        for key, reading in seen.readings.items():
            if key[0] in still_at_act and reading.verdict == "act":
                self.states[key].cross("act", day)
        if seen.look.felt:
            felt_grade(self.felt, seen.look.felt, day)

    def _as_left(self, seen: Seen) -> None:
        """As-left readings end a stop; those still at act open one in their own series."""
        day = seen.look.day
        ended = {
            key: state
            for key, state in self.states.items()
            if state.standing == "stop" and self._ends_stop(key, seen)
        }
        for key, state in ended.items():
            own = seen.readings.get(key)
            state.end(own.verdict if own else "watch")
            for other, reading in seen.readings.items():
                if other[0] == key[0] and reading.verdict == "act":
                    self._act_as_left(other, seen)
        grade = seen.look.felt
        if grade and self.felt.standing == "stop" and FELT[grade] != "stop":
            self._felt_as_left(grade, day)

    def _ends_stop(self, key: Key, seen: Seen) -> bool:
        if seen.place < self.series[key].since:
            return False
        own = seen.readings.get(key)
        readings = [own] if own else seen.at(key[0])
        verdicts = [reading.verdict for reading in readings]
        return below_stop(max(verdicts, key=VERDICT_ORDER.__getitem__, default=""))

    def _act_as_left(self, key: Key, seen: Seen) -> None:
        state = self.states[key]
        if state.standing not in ("act", "stop") and seen.place > self.series[key].since:
            state.cross("act", seen.look.day)

    def _felt_as_left(self, grade: str, day: int) -> None:
        if FELT[grade] == "act":
            self.felt.cross("act", day)
        else:
            seen_before = grade == "slight" and self.felt.slight_seen
            self.felt.end("within" if seen_before else FELT[grade])

    def _answered(self, decision: Decision) -> None:
        if decision.subject != "vibration":
            return
        for state in (*self.states.values(), self.felt):
            if state.standing == "act" and state.crossed_day < decision.day:
                if decision.answer == "not_now":
                    state.move_act(decision.day)
                elif decision.answer == "declined":
                    state.declined = True

    def _made_safe(self, day: int) -> None:
        for state in (*self.states.values(), self.felt):
            if state.standing == "stop":
                state.end("within")

    def dates(self) -> list[Live]:
        named = [*self.states.items(), ("felt", self.felt)]
        return [state.live(f"level {key}") for key, state in named if state.speaks]
