"""Invented records for a sample of fans: two years of visits, readings, events and work."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from random import Random
from typing import Any

from django.db.models import Model

from fleet.models import ExhaustSystem, Fan, Machine, Site
from fleet.quantities import LOOK_LISTS, QUANTITIES, WALK_THROUGH_BELT, WALK_THROUGH_DIRECT
from schedules.bench.fleet import START, random_for, store
from visits.judging import judge_row, plate_of, verdicts
from visits.models import Action, Check, Decision, Event, Finding, SystemInspection, Visit

DAYS_TOLD = 730
ASKED = {
    belt: tuple(dict.fromkeys(name for name in (*required, *LOOK_LISTS["hood_cleaning"])
                              if name in QUANTITIES))
    for belt, required in ((False, WALK_THROUGH_DIRECT), (True, WALK_THROUGH_BELT))
}  # fmt: skip
"""What a walk-through looks at: enough to settle a hood cleaning too."""

WORK = (("regreased", "bearings"),) * 3 + (("replaced", "belt"),)
FAULT_CHANCE = 0.012
"""That an item seen on a visit is not as it should be."""


@dataclass
class Told:
    """Rows not yet stored, by model, in the order in which they depend on each other."""

    rows: dict[type[Model], list[Any]] = field(default_factory=lambda: defaultdict(list))

    def add(self, row: Model) -> None:
        self.rows[type(row)].append(row)

    def keep(self) -> None:
        for rows in self.rows.values():
            store(rows)


@dataclass
class Shaking:
    """One fan's vibration over time and the meter it is read by."""

    rng: Random
    machine: Machine
    level_mm_s: float
    growth_mm_s_d: float
    grease_um_d: float
    cleaned_on: date = START

    @staticmethod
    def of(fan: Fan, machine: Machine) -> Shaking:
        rng = random_for("life", fan.pk)
        grows = rng.random() < 0.25
        return Shaking(
            rng,
            machine,
            rng.uniform(0.8, 3.5),
            rng.uniform(0.001, 0.008) if grows else 0.0,
            rng.uniform(1.0, 7.0),
        )

    def mm_s(self, day: date) -> float:
        risen = self.growth_mm_s_d * (day - START).days
        return round(max(0.1, self.level_mm_s + risen + self.rng.gauss(0, 0.25)), 1)

    def depth_um(self, day: date) -> float:
        return float(50 + self.grease_um_d * (day - self.cleaned_on).days // 50 * 50)


def make_lives(fans: list[Fan]) -> None:
    """Put machines and two years of records on file for these fans, whole sites of them."""
    machines = {machine.fan_id: machine for machine in store([_machine(fan) for fan in fans])}
    by_site: dict[Site, list[Fan]] = defaultdict(list)
    for fan in fans:
        by_site[fan.site].append(fan)
    told = Told()
    for site, here in by_site.items():
        _live(site, {fan: Shaking.of(fan, machines[fan.pk]) for fan in here}, told)
    told.keep()


def _machine(fan: Fan) -> Machine:
    rng = random_for("machine", fan.pk)
    belt = rng.random() < 0.35
    return Machine(
        fan=fan,
        installed_on=START - timedelta(days=rng.randint(0, 3000)),
        drive="belt" if belt else "direct",
        power_hp=rng.choice((0.5, 1.0, 1.5, 3.0, 7.5)),
        speed_rpm=rng.choice((1140.0, 1725.0)),
        shaft_rpm=rng.choice((850.0, 1100.0)) if belt else None,
        hertz=60.0,
        mounting=rng.choice(("rigid", "flexible")),
        bearings=rng.choice(("greased", "greased", "")) if belt else rng.choice(("sealed", "")),
        bore_mm=rng.choice((25.4, 30.2, 38.1)) if belt and rng.random() < 0.8 else None,
        frame="184T",
    )


def _live(site: Site, fans: dict[Fan, Shaking], told: Told) -> None:
    """Two years on one roof, in order of time."""
    rng = random_for("roof", site.pk)
    systems = list(dict.fromkeys(fan.system for fan in fans))
    entries: list[tuple[int, str]] = []
    for what, every in (("walk_through", rng.choice((30, 61, 61))), ("cleaning", 91)):
        first = rng.randint(0, every)
        entries += [(day + rng.randint(-5, 5), what) for day in range(first, DAYS_TOLD, every)]
    entries += [(rng.randint(0, 30) + day, "inspection") for day in range(0, DAYS_TOLD, 181)]
    entries += [(rng.randrange(DAYS_TOLD), "storm") for _ in range(rng.choice((0, 1, 2)))]
    for offset, what in sorted(entries):
        on = START + timedelta(days=max(0, offset))
        if what == "walk_through":
            _walk(site, fans, on, told)
        elif what == "inspection":
            _inspect(site, systems, on, told)
        elif what == "storm":
            told.add(_event("storm", site, on))
        else:
            _clean(site, systems, fans, on, told)


def _visit(site: Site, on: date, kind: str, told: Told) -> Visit:
    began = datetime.combine(on, time(9, 30), site.zone)
    visit = Visit(
        kind=kind, site=site, began_at=began, local_on=on, local_minute=570, received_at=began,
        payload_sha256="0" * 64,
    )  # fmt: skip
    told.add(visit)
    return visit


def _event(kind: str, site: Site, on: date, **more: Any) -> Event:
    ended = datetime.combine(on, time(23), site.zone)
    return Event(
        kind=kind, site=site, started_on=on, ended_on=on, ended_minute=1380, received_at=ended,
        payload_sha256="0" * 64, **more,
    )  # fmt: skip


def _clean(
    site: Site, systems: list[ExhaustSystem], fans: dict[Fan, Shaking], on: date, told: Told
) -> None:
    for system in systems:
        told.add(
            _event("hood_cleaning", site, on, system=system, places_cleaned=["duct", "housing"])
        )
    for shaking in fans.values():
        shaking.cleaned_on = on


def _inspect(site: Site, systems: list[ExhaustSystem], on: date, told: Told) -> None:
    visit = _visit(site, on, "code_inspection", told)
    for system in systems:
        told.add(SystemInspection(visit=visit, system=system, qualified=True))


def _walk(site: Site, fans: dict[Fan, Shaking], on: date, told: Told) -> None:
    visit = _visit(site, on, "walk_through", told)
    for fan, shaking in fans.items():
        check = _check(visit, fan, shaking)
        told.add(check)
        rng, machine = shaking.rng, shaking.machine
        if machine.is_belt_driven and rng.random() < 0.25:
            kind, item = rng.choice(WORK)
            told.add(Action(visit=visit, fan=fan, kind=kind, item=item))
        for subject, verdict in check.judged.items():
            if verdict in ("act", "stop"):
                _follow(check, subject, verdict, rng, told)


def _follow(check: Check, subject: str, verdict: str, rng: Random, told: Told) -> None:
    """Some faults are written down, some repaired on the spot, some declined."""
    what, visit, fan = rng.random(), check.visit, check.fan
    if what < 0.5:
        told.add(Action(visit=visit, fan=fan, kind="repaired", item=subject))
    elif what < 0.8:
        told.add(
            Finding(
                visit=visit, fan=fan, machine=check.machine, subject=subject, item=subject,
                severity="degraded", verdict=verdict, loss_of_function=verdict == "stop",
            )
        )  # fmt: skip
    else:
        told.add(
            Decision(
                fan=fan, visit=visit, subject=subject, answer="declined",
                decided_on=visit.local_on, received_at=visit.began_at,
            )
        )  # fmt: skip


def _check(visit: Visit, fan: Fan, shaking: Shaking) -> Check:
    rng, machine, on = shaking.rng, shaking.machine, visit.local_on
    readings: dict[str, Any] = {name: _state(name, rng) for name in ASKED[machine.is_belt_driven]}
    depth = shaking.depth_um(on)
    readings |= {"grease_duct_low_um": depth, "grease_duct_high_um": depth + 50}
    if machine.is_belt_driven:
        readings["hour_meter_h"] = round((on - START).days * 11.5 + 100, 0)
    if rng.random() < 0.1:
        readings["vibration_felt"] = rng.choice(("none", "none", "slight"))
    else:
        readings["vibration_motor_radial_mm_s"] = shaking.mm_s(on)
        readings |= {"vibration_detector": "rms", "vibration_meter": "overall"}
    typed = {
        name: {"value": value, "unit": QUANTITIES[name].unit}
        for name, value in readings.items()
        if name in QUANTITIES and not QUANTITIES[name].is_seen
    }
    judged = verdicts(judge_row({**readings, "typed": typed}, plate=plate_of(vars(machine))))
    return Check(
        visit=visit, fan=fan, machine=machine, began_at=visit.began_at, typed=typed, judged=judged,
        **readings,
    )  # fmt: skip


def _state(name: str, rng: Random) -> str:
    codes = QUANTITIES[name].state_codes
    return codes[0] if rng.random() > FAULT_CHANCE else rng.choice(codes)
