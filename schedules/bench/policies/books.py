"""The record that a simulated office keeps: what the real engine is told of each fan."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import fields, replace
from functools import lru_cache
from math import isnan, nan
from typing import Any

import numpy as np

from schedules.bench.policies import told
from schedules.bench.world.luck import MODES
from schedules.bench.world.roofs import Flags, Whole
from schedules.bench.world.visiting import Mended, Seen
from schedules.bench.world.weeks import World
from schedules.engine.record import (
    Action,
    Calendar,
    CalendarPeriod,
    Cooking,
    Decision,
    Event,
    FanRecord,
    Inspection,
    Look,
    Machine,
)
from visits.services.past import CALL_BACK_DAYS

FIRST_DAY = 738_886  # Monday, 1 January 2024
CLEANED, VISITED, CALLED = 0, 2, 5  # day of the week
FOUND, WORKED = 600, 660  # minute of the day
ONBOARDING_WEEKS = 6
BORE_MM = 25.0
KEPT_DAYS = 400

WORK = {
    "balance": (("balanced", "wheel"), ("cleaned", "wheel")),
    "bearing": (("replaced", "bearings"),),
    "belt": (("replaced", "belt"),),
    "tension": (("adjusted", "belt_deflection"),),
    "grease": (("regreased", "bearings"),),
    "cable": (("replaced", "cable"),),
    "switch": (("repaired", "corrosion"),),
    "supply": (("repaired", "supply"),),
    "vents": (("cleaned", "motor_vents"),),
    "box": (("cleaned", "grease_box"),),
    "hinge": (("repaired", "hinge"),),
    "hinge_kit": (("replaced", "hinge"),),
}
ANSWERS_TO = {
    "balance": ("vibration", "vibration_felt"), "bearing": ("bearings", "noise"),
    "cable": ("cable",), "switch": ("corrosion",), "supply": ("supply",), "hinge": ("hinge",),
    "hinge_kit": ("hinge",),
}  # fmt: skip
SUPPLY_SUBJECTS = ("volts", "volts_unbalance")
RENEWED = {
    "bearing": "bearings", "belt": "belt", "cable": "cable", "switch": "switch", "wheel": "wheel",
    "motor": "motor", "nowhere": "breaker",
}  # fmt: skip
CAUSES_FOUND = ("balance", "tension", "supply", "vents", "box", "hinge", "switch")
CLASSES = ("solid_fuel", "high", "moderate", "low")


@lru_cache(maxsize=24)
def calendar(hours: int) -> Calendar:
    """A kitchen open so many hours each day from ten in the morning."""
    return Calendar("UTC", (CalendarPeriod(FIRST_DAY - 400, (((600, 600 + 60 * hours),),) * 7),))


class Books:
    """All that is on record of the fans of one run."""

    def __init__(self, world: World) -> None:
        self._world = world
        self._looks: dict[int, list[Look]] = defaultdict(list)
        self._events: dict[int, list[Event]] = defaultdict(list)
        self._actions: dict[int, list[Action]] = defaultdict(list)
        self._decisions: dict[int, list[Decision]] = defaultdict(list)
        self._failed: dict[int, list[int]] = defaultdict(list)
        self._renewed: dict[tuple[int, str], int] = {}
        self._felt_slight = np.zeros(len(world.roofs.belt), dtype=bool)

    def tell_events(self, week: int, cleaned: Flags) -> Whole:
        """Hood cleanings that somebody writes down; gives the fans they are about."""
        world, day = self._world, FIRST_DAY + 7 * week + CLEANED
        telling = world.luck.telling[:, week, 0] < world.a.cleaning_told
        fans = np.flatnonzero(cleaned & telling)
        wheel = world.luck.cleaning[:, week, 0] >= world.a.wheel_missed
        for fan in fans.tolist():
            places = ("hood", "duct", "housing") if wheel[fan] else ("hood", "duct")
            self._events[fan].append(
                Event(
                    "hood_cleaning",
                    day,
                    day,
                    FOUND,
                    WORKED,
                    tipped=True,
                    places=frozenset(places),
                    wheel_cleaned=bool(wheel[fan]),
                    key=week,
                )
            )
        return fans

    def tell_visits(self, week: int, seen: Seen, mended: Mended) -> None:
        """What was written down on walk-throughs, done, and answered by owners."""
        day = FIRST_DAY + 7 * week + VISITED
        names = [one.name for one in fields(Seen) if one.name != "fans"]
        readings = {name: getattr(seen, name).tolist() for name in names}
        for row, fan in enumerate(seen.fans.tolist()):
            done = [what for what, flags in mended.done.items() if flags[row]]
            declined = [what for what, flags in mended.declined.items() if flags[row]]
            own = {name: column[row] for name, column in readings.items()}
            self._looks[fan].append(self._look(fan, day, own, declined))
            self._work(fan, day, done)
            self._decisions[fan] += [
                Decision(subject, "declined", day)
                for what in declined
                for subject in ANSWERS_TO[what]
            ]

    def _look(self, fan: int, day: int, seen: dict[str, float], declined: list[str]) -> Look:
        roofs, belt = self._world.roofs, bool(self._world.roofs.belt[fan])
        # A hinge without a kit is told from a damaged one by anybody.
        states = told.states(seen, belt=belt, hinged=bool(self._world.state.hinge[fan]))
        slight = bool(self._felt_slight[fan])
        verdicts = {
            item: told.seen_verdict(item, state, slight_before=slight)
            for item, state in states.items()
            if item not in told.SOUND
        }
        self._felt_slight[fan] |= states.get("vibration_felt") == "slight"
        if seen["slack"] == 1:
            verdicts["belt_deflection"] = "watch"
        elif seen["slack"] == 0:
            verdicts["belt_deflection"] = "within"
        if not isnan(seen["supply_percent"]):
            three = bool(roofs.three_phase[fan])
            subject, verdict = told.supply_verdict(seen["supply_percent"], three_phase=three)
            verdicts[subject] = verdict
        _soften(states, verdicts, declined)
        shaking = () if isnan(seen["vibration"]) else (told.vibration(seen["vibration"]),)
        if shaking and "balance" in declined and shaking[0].verdict == "stop":
            shaking = (replace(shaking[0], verdict="act"),)
        if shaking:
            verdicts["vibration"] = shaking[0].verdict
        answered = told.ANSWERED[belt]
        unjudged = answered - verdicts.keys() - told.SOUND.keys() - {"vibration"}
        return Look(
            day, FOUND, verdicts=verdicts, answered=answered, lasting=_lasting(states, declined),
            required_unjudged=bool(unjudged), vibration=shaking,
            felt=states.get("vibration_felt", ""),
            grease=() if isnan(seen["grease_um"]) else (told.grease(seen["grease_um"]),),
        )  # fmt: skip

    def tell_calls(self, week: int, failed: Flags, called: Whole) -> None:
        """What failed, what was renewed on calls for it, and what was put right besides."""
        world, day = self._world, FIRST_DAY + 7 * week + CALLED
        found = world.luck.calls[:, week, 0] < world.a.call_finds_cause
        for fan in called.tolist():
            modes = [MODES[mode] for mode in np.flatnonzero(failed[fan])]
            if any(day - self._renewed.get((fan, mode), 0) > CALL_BACK_DAYS for mode in modes):
                self._failed[fan].append(day)
            self._renewed |= {(fan, mode): day for mode in modes}
            self._actions[fan] += [Action("replaced", RENEWED[m], day, WORKED) for m in modes]
            self._work(fan, day, CAUSES_FOUND if found[fan] else ())

    def _work(self, fan: int, day: int, done: Any) -> None:
        for what in done:
            self._actions[fan] += [Action(*work, day, WORKED) for work in WORK[what]]
        if "balance" in done:
            self._felt_slight[fan] = False

    def _expected(self, fan: int, since: int) -> tuple[int, ...]:
        """The days on which the hood cleaners come next, where the office has been told."""
        world = self._world
        if world.luck.telling[fan, 0, 1] >= world.a.cleaning_told:
            return ()
        first, every = world.roofs.cleaned_first[fan], world.roofs.cleaned_every[fan]
        days = range(FIRST_DAY + 7 * int(first) + CLEANED, since + 2 * KEPT_DAYS, 7 * int(every))
        return tuple(day for day in days if day >= since)

    def hours_a_day(self, fan: int) -> int:
        """How long a fan's kitchen is open, in whole hours."""
        return round(self._world.roofs.hours_a_day[fan])

    def record(self, fan: int) -> FanRecord:
        """All that is known of a fan."""
        roofs = self._world.roofs
        machine = Machine(
            FIRST_DAY - 365,
            belt_drive=bool(roofs.belt[fan]),
            rpm=float(roofs.rpm[fan]),
            hertz=60.0,
            bore_mm=BORE_MM if roofs.greased[fan] else nan,
            bearings="greased" if roofs.greased[fan] else "sealed",
        )
        newest = self._looks[fan][-1:]
        since = newest[0].day - KEPT_DAYS if newest else 0
        looks = tuple(look for look in self._looks[fan] if look.day >= since)
        return FanRecord(
            entered_day=FIRST_DAY,
            onboarding_day=FIRST_DAY + 7 * (fan % ONBOARDING_WEEKS) + VISITED,
            harsh=bool(roofs.coastal[fan]),
            machines=(machine,),
            cooking=(Cooking(FIRST_DAY, (CLASSES[roofs.cooking[fan]],)),),
            calendar=calendar(self.hours_a_day(fan)),
            looks=looks,
            inspections=tuple(Inspection(look.day, True) for look in looks),
            events=tuple(one for one in self._events[fan] if one.end_day >= since),
            actions=tuple(one for one in self._actions[fan] if one.day >= since),
            expected_cleanings=self._expected(fan, since),
            decisions=tuple(one for one in self._decisions[fan] if one.day >= since),
            failed_days=tuple(self._failed[fan]),
        )


def _soften(states: dict[str, str], verdicts: dict[str, str], declined: list[str]) -> None:
    """Tell as *act* a stop whose repair is declined: this world has no fan that stands still.

    Made safe it would be seen no more; left a stop it would be visited every week for years.
    """
    for what in declined:
        for subject in (*ANSWERS_TO[what], *SUPPLY_SUBJECTS[: 2 * (what == "supply")]):
            if verdicts.get(subject) == "stop":
                verdicts[subject] = "act"
    if states.get("vibration_felt") == "violent" and "balance" in declined:
        states["vibration_felt"] = "strong"


def _lasting(states: dict[str, str], declined: list[str]) -> frozenset[str]:
    """Faults marked as lasting: surface rust, and a hinge that its owner will not have fitted."""
    marks = {"corrosion"} if states.get("corrosion") == "surface" else set()
    if states.get("hinge") == "none" and "hinge_kit" in declined:
        marks.add("hinge")
    return frozenset(marks)
