"""Eighteen months at one kitchen: rounds, hood cleanings, inspections, storms, breakdowns."""

from __future__ import annotations

import heapq
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from itertools import count
from random import Random

from schedules.demo.county import CREW, DAYS_OF_HISTORY, SCHOOLS, Site
from schedules.demo.looks import Fan, Worked, after_cleaning, walk_through
from schedules.demo.records import Days, Record, named

CADENCE = {"solid fuel": 30, "high": 91, "moderate": 182, "low": 365}
"""Days between inspections, and between hood cleanings, by cooking class."""
ROUND_DAYS, HARSH_ROUND_DAYS = 59, 30
BREAKDOWNS_A_YEAR = 0.22
CAKED_UM = 2000
"""From here on the crew is told of a housing it left."""
MORNING = ("06:40", "07:10", "07:45", "08:20", "09:05")
AFTERNOON = ("14:10", "14:35", "15:20")
STORMS = (-402, -291, -47)
REASONS = (
    ("no_access", "hatch locked, nobody with the key"),
    ("weather", "lightning near, left the roof"),
    ("not_stopped", "kitchen would not give up the fan at lunch"),
    ("no_time", "day ran out"),
)


@dataclass(slots=True)
class System:
    """One exhaust system of the generated fleet and how often it is cleaned and inspected."""

    name: str
    cooking: str
    fans: list[Fan] = field(default_factory=list)

    @property
    def cadence(self) -> int:
        return CADENCE[self.cooking]


@dataclass(slots=True)
class SiteLife:
    """Lives one site from the past to yesterday; ``records`` gather in order of time."""

    site: Site
    systems: list[System]
    days: Days
    rng: Random
    meter: bool
    storms: bool
    records: list[Record] = field(default_factory=list)
    _coming: list[tuple[int, int, Callable[[int], None]]] = field(default_factory=list)
    _number: count[int] = field(default_factory=count)

    def live(self) -> list[Record]:
        """Everything that happened, as people would have recorded it."""
        self._begin()
        while self._coming:
            day, _, happen = heapq.heappop(self._coming)
            for fan in self.fans:
                fan.life.live_until(day)
            happen(day)
        return self.records

    @property
    def fans(self) -> list[Fan]:
        return [fan for system in self.systems for fan in system.fans]

    @property
    def technician(self) -> str:
        return "Ruta Vennick" if self.meter else "Col Bexhollow"

    @property
    def round_days(self) -> int:
        harsh = self.site.coastal or any(fan.is_belt for fan in self.fans)
        return HARSH_ROUND_DAYS if harsh else ROUND_DAYS

    def _at(self, day: int, happen: Callable[[int], None]) -> None:
        """Let it happen on ``day``, unless that has not come yet."""
        if day < 0:
            heapq.heappush(self._coming, (day, next(self._number), happen))

    def _plan(self, day: int, visit: Callable[[int], None]) -> None:
        """Let a visit be made on ``day`` or the next working day."""
        self._at(self.days.working(day), visit)

    def _begin(self) -> None:
        start, rng = -DAYS_OF_HISTORY, self.rng
        self._plan(start + rng.randrange(3, self.round_days), self._round)
        for system in self.systems:
            self._at(start + rng.randrange(5, system.cadence), partial(self._cleaning, system))
            self._plan(start + rng.randrange(2, 60), partial(self._inspection, system))
        for fan in self.fans:
            if fan.is_belt:
                self._plan(start + rng.randrange(10, 200), partial(self._greasing, fan))
            self._at(start + self._next_breakdown(), partial(self._breakdown, fan))
        if self.storms:
            for day in STORMS:
                self._at(day, self._storm)

    def _next_breakdown(self) -> int:
        return 1 + int(self.rng.expovariate(BREAKDOWNS_A_YEAR) * 365)

    def _began(self, day: int) -> str:
        clocks = AFTERNOON if self.site.owner == SCHOOLS else MORNING
        return self.days.at(day, self.rng.choice(clocks))

    def _visit(self, kind: str, day: int, worked: list[Worked], **parts: list[Record]) -> None:
        checks = [check for work in worked for check in work.checks]
        actions = [action for work in worked for action in work.actions]
        if actions:
            parts["actions"] = actions
        self.records.append(
            self.site.kitchen.visit(
                kind, self._began(day), *checks, technician=self.technician, **parts
            )
        )

    # -- the round and what follows from it

    def _round(self, day: int) -> None:
        rng = self.rng
        late = rng.randrange(8, 28) if rng.random() < 0.08 else 0
        self._plan(day + self.round_days + rng.randrange(-4, 4) + late, self._round)
        if rng.random() < 0.97:
            self._walk(day)

    def _walk(self, day: int) -> None:
        rng = self.rng
        fans = self._unseen(self.fans, day)
        missed = [fan for fan in fans if rng.random() < 0.02]
        seen = [fan for fan in fans if fan not in missed]
        if not seen:
            return
        live = self.meter and rng.random() < 0.35
        worked = [walk_through(fan, with_meter=self.meter, live=live) for fan in seen]
        parts = {"not_reached": [self._not_reached(fan) for fan in missed]} if missed else {}
        advice = [self._advice(fan, day) for fan, work in zip(seen, worked, strict=True)
                  if work.left_open]  # fmt: skip
        if advice:
            parts["recommendations"] = advice
        self._visit("walk_through", day, worked, **parts)
        for fan, work in zip(seen, worked, strict=True):
            self._follow(fan, work, day)

    def _follow(self, fan: Fan, work: Worked, day: int) -> None:
        rng = self.rng
        if work.new_belt and rng.random() < 0.92:
            self._plan(day + rng.randrange(2, 4), partial(self._look_again, fan))
        elif work.left_open and rng.random() < 0.9:
            self._plan(day + rng.randrange(8, 14), partial(self._look_again, fan))

    def _unseen(self, fans: list[Fan], day: int) -> list[Fan]:
        """Fans at which nobody has looked that day already."""
        return [fan for fan in fans if fan.seen_day != day]

    def _look_again(self, fan: Fan, day: int) -> None:
        if fan.seen_day == day:
            return
        work = walk_through(fan, with_meter=self.meter, live=False)
        self._visit("maintenance", day, [work])
        self._follow(fan, work, day)

    def _not_reached(self, fan: Fan) -> Record:
        reason, note = self.rng.choice(REASONS)
        return {"fan": fan.tag, "reason": reason, "note": note}

    def _advice(self, fan: Fan, day: int) -> Record:
        subject = sorted(set(fan.life.states) - {"corrosion"})[0]
        what = subject.replace("_", " ")
        advice: Record = {
            "id": named(self.site.name, fan.tag, self.days.on(day)), "fan": fan.tag,
            "subject": subject, "text": f"Put the {what} in order; parts to be ordered.",
            "cost": f"{self.rng.randrange(6, 48) * 10}.00",
        }  # fmt: skip
        if self.rng.random() < 0.6:
            advice["decision"] = {"answer": "go_ahead", "on": self.days.on(day)}
        return advice

    # -- what others do to the roof

    def _cleaning(self, system: System, day: int) -> None:
        rng = self.rng
        self._at(day + system.cadence + rng.randrange(-6, 9), partial(self._cleaning, system))
        caked = any(fan.life.grease_um["housing"] > CAKED_UM for fan in system.fans)
        housing = rng.random() < (0.95 if caked else 0.65)
        cleaned = ["hood", "duct", *(["housing"] if housing else [])]
        tipped = [fan for fan in system.fans if not fan.is_belt and rng.random() < 0.7]
        wheel = rng.random() < 0.35
        for fan in system.fans:
            fan.life.clean_places(cleaned)
            if wheel:
                fan.life.mend("wheel")
            if fan in tipped and rng.random() < 0.05:
                fan.life.knock()
        self.records.append(
            self.site.kitchen.event(
                "hood_cleaning", self.days.at(day - 1, "23:30"),
                ended=self.days.at(day, "03:30"), system=system.name, crew=CREW,
                tipped=[fan.tag for fan in tipped], places_cleaned=cleaned,
                places_not_cleaned=[] if "housing" in cleaned else ["housing"],
                wheel_cleaned=wheel,
            )
        )  # fmt: skip
        if rng.random() < 0.93:
            self._plan(day + rng.randrange(1, 7), partial(self._after_cleaning, system))

    def _after_cleaning(self, system: System, day: int) -> None:
        fans = self._unseen(system.fans, day)
        worked = [after_cleaning(fan, with_meter=self.meter) for fan in fans]
        if worked:
            self._visit("maintenance", day, worked)

    def _inspection(self, system: System, day: int) -> None:
        rng = self.rng
        late = rng.randrange(5, 25) if rng.random() < 0.08 else 0
        gap = system.cadence + rng.choice((0, 0, 0, -2, 1)) + late
        self._plan(day + gap, partial(self._inspection, system))
        note = "access door in the vertical duct painted shut" if rng.random() < 0.06 else ""
        self.records.append(
            self.site.kitchen.inspection(
                self._began(day), system.name, technician="Ruta Vennick", note=note
            )
        )

    def _storm(self, day: int) -> None:
        told = self.rng.random() < 0.7
        running = {"running_on": self.days.on(day + 1)} if told else {}
        self.records.append(
            self.site.kitchen.event(
                "storm", self.days.at(day, "16:20"), note="squall line from the gulf", **running
            )
        )
        if not told:
            self._plan(day + 2, self._walk)

    # -- what wears out

    def _greasing(self, fan: Fan, day: int) -> None:
        self._plan(day + self.rng.randrange(230, 300), partial(self._greasing, fan))
        check: Record = {"fan": fan.tag, "seen": {"running": "runs"}}
        action = {"fan": fan.tag, "kind": "regreased", "item": "bearings"}
        self._visit("maintenance", day, [Worked([check], [action])])

    def _breakdown(self, fan: Fan, day: int) -> None:
        self._at(day + self._next_breakdown(), partial(self._breakdown, fan))
        rng = self.rng
        items = ["switch", "motor", "motor"]
        items += ["belt", "belt", "bearings"] if fan.is_belt else []
        items += ["capacitor"] if fan.row["Motor type"] == "PSC" else []
        item = rng.choice(items)
        part: Record = {"fan": fan.tag, "kind": "replaced", "item": item}
        if item in ("motor", "bearings"):
            fan.life.balance()
        for mended in (item, "noise"):
            fan.life.mend(mended)
        dead: Record = {"fan": fan.tag, "seen": {"running": "dead"}}
        left: Record = {
            "fan": fan.tag, "stage": "as_left", "switch_left": "on",
            "seen": {"running": "runs", "rotation": "right", "noise": "usual",
                     **({"belt": "sound"} if item == "belt" else {})},
        }  # fmt: skip
        finding: Record = {
            "fan": fan.tag, "item": item, "subject": "running", "severity": "critical",
            "failure_mode": "NOO", "loss_of_function": True, "failed_on": self.days.on(day),
        }  # fmt: skip
        work = Worked([dead, left], [part], new_belt=item == "belt")
        self._visit("service_call", day, [work], findings=[finding])
        self._follow(fan, work, day)
