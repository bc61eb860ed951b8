"""Seeded random fans: every kind of fact the rules speak of, in plausible and in nasty company."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from math import nan
from random import Random

from schedules.engine.record import FanRecord, Machine
from tests.oracle.random_facts import (
    random_actions,
    random_decisions,
    random_events,
    random_failures,
    random_noted,
    random_prior,
    random_spans,
)
from tests.oracle.random_hours import (
    random_calendar,
    random_cooking,
    random_inspections,
    random_meter,
)
from tests.oracle.random_looks import SUBJECTS, World, random_looks, random_shaking, steady_shaking
from tests.oracle.walk_through import walk_through

EPOCH = date(2024, 1, 31).toordinal()


def _maybe(rng: Random, chance: float, value: float) -> float:
    return value if rng.random() < chance else nan


def random_machine(rng: Random, since_day: int, *, first: bool) -> Machine:
    return Machine(
        since_day,
        belt_drive=rng.random() < 0.5,
        rpm=_maybe(rng, 0.9, rng.choice((860.0, 900.0, 1140.0, 1200.0, 1750.0, 1800.0, 3450.0))),
        hertz=_maybe(rng, 0.8, 60.0),
        bore_mm=_maybe(rng, 0.6, rng.choice((19.05, 25.0, 35.0, 50.0))),
        frame=rng.choice((None, 56, 143, 184, 213, 254, 286, 326)),
        bearings=rng.choice(("greased", "greased", "greased", "sealed", "")),
        vertical=rng.random() < 0.7,
        temperature_c=_maybe(rng, 0.3, rng.choice((40.0, 70.0, 85.0, 100.0, 77.0))),
        maker_regrease_h=_maybe(rng, 0.5, rng.choice((500.0, 1000.0, 2000.0, 4380.0))),
        first=first,
    )


def random_machines(rng: Random, first_day: int, last_day: int) -> list[Machine]:
    machines = [random_machine(rng, first_day - rng.choice((0, 30, 400)), first=rng.random() < 0.9)]
    for _ in range(rng.choice((0, 0, 0, 1, 2))):
        since = rng.randint(machines[-1].since_day + 1, last_day)
        machines.append(random_machine(rng, since, first=False))
        if since >= last_day - 5:
            break
    return machines


def _crowded(rng: Random, record: FanRecord, world: World) -> FanRecord:
    """Moves some facts onto the days of checks, where order within a day decides."""
    days = [look.day for look in record.looks]
    if not days:
        return record

    def moved(day: int) -> int:
        return rng.choice(days) if rng.random() < 0.4 else day

    actions = tuple(replace(a, day=moved(a.day)) for a in record.actions)
    noted = tuple(
        n if n.closed_day is not None else replace(n, day=moved(n.day)) for n in record.noted
    )
    decisions = tuple(replace(d, day=moved(d.day)) for d in record.decisions)
    return replace(
        record,
        actions=tuple(sorted(actions, key=lambda a: (a.day, a.minute or 0))),
        noted=tuple(sorted(noted, key=lambda n: (n.day, n.minute or 0))),
        decisions=tuple(sorted(decisions, key=lambda d: d.day)),
    )


def _with_expected_cleanings(rng: Random, record: FanRecord) -> FanRecord:
    """Expected cleanings near rule 1's due day, where they may move it."""
    if rng.random() < 0.5:
        return record
    due = walk_through(record).live.due
    days = sorted(due + rng.randint(-25, 15) for _ in range(rng.choice((1, 2, 3))))
    return replace(record, expected_cleanings=tuple(days))


def _quiet(rng: Random, record: FanRecord) -> FanRecord:
    """Some records keep only a few kinds of facts, so that each rule is also seen alone."""
    if rng.random() < 0.6:
        return record
    kept = rng.choice((("looks",), ("looks", "actions"), ("looks", "events"), ()))
    names = ("looks", "actions", "events", "noted", "decisions", "meter", "out_of_service")
    return replace(record, **{name: () for name in names if name not in kept})


def random_world(rng: Random) -> World:
    first_day = EPOCH + rng.randint(-700, 700)
    last_day = first_day + rng.choice((30, 200, 500, 700))
    machines = random_machines(rng, first_day, last_day)
    steady = rng.random() < 0.3
    shaking = [random_shaking(rng, 60.0) for _ in range(rng.choice((0, 1, 1, 2, 3)))]
    return World(
        first_day, last_day,
        machines[:1] if steady else machines,
        [steady_shaking(rng), *shaking[:1]] if steady else shaking,
        tuple(rng.sample(SUBJECTS, rng.choice((1, 2, 4)))),
        rng.choice((0.0, 0.05, 0.3)),
        rng.choice((0.5, 3.0, 8.0, 20.0)),
        timed=rng.choice((0.0, 0.5, 1.0)),
        thorough=rng.choice((0.0, 0.5, 1.0)),
        steady=steady,
    )  # fmt: skip


def random_record(rng: Random) -> FanRecord:
    """One fan's record, reproducible from the generator's state."""
    world = random_world(rng)
    events = random_events(rng, world)
    cooking = random_cooking(rng, world)
    record = FanRecord(
        entered_day=world.first_day + rng.choice((0, 0, -30, 200)),
        onboarding_day=world.last_day + rng.randint(-60, 60) if rng.random() < 0.3 else None,
        harsh=rng.random() < 0.3,
        reliability=rng.choice(("low", "medium", "medium", "high")),
        stretching=rng.random() < 0.5,
        machines=tuple(world.machines),
        cooking=cooking,
        calendar=random_calendar(rng, world),
        looks=random_looks(rng, world),
        inspections=random_inspections(rng, world, cooking),
        events=events,
        actions=random_actions(rng, world),
        noted=random_noted(rng, world),
        decisions=random_decisions(rng, world),
        meter=random_meter(rng, world),
        out_of_service=random_spans(rng, world),
        failed_days=random_failures(rng, world),
        prior=random_prior(rng),
    )
    record = _crowded(rng, _quiet(rng, record), world)
    if rng.random() < 0.3:
        record = replace(record, looks=tuple(replace(look, here=False) for look in record.looks))
    return _with_expected_cleanings(rng, record)
