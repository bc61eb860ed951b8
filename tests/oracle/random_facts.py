"""Seeded facts between checks: events, work done, findings noted, answers, spans out of service."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from fleet.quantities import item_of
from schedules.engine.record import Action, Decision, Event, FailurePrior, Noted, OutOfService
from tests.oracle.random_looks import World

KINDS = ("hood_cleaning", "hood_cleaning", "storm", "power_event", "kitchen_change")
SETTLING = ("repaired", "replaced", "adjusted", "cleaned")


def random_events(rng: Random, world: World) -> tuple[Event, ...]:
    events = []
    for key in range(rng.choice((0, 0, 1, 2, 3, 5))):
        start = world.day(rng)
        end = start + rng.choice((0, 0, 0, 1, 2))
        kind = rng.choice(KINDS)
        minute = world.minute(rng)
        cleaned = frozenset(p for p in ("hood", "duct", "housing") if rng.random() < 0.6)
        events.append(
            Event(
                kind,
                start,
                end,
                minute,
                minute and minute + rng.choice((0, 120)),
                rng.random() < 0.3,
                cleaned if kind == "hood_cleaning" else frozenset(),
                kind == "hood_cleaning" and rng.random() < 0.5,
                start + rng.randint(-2, 5) if rng.random() < 0.3 else None,
                key,
            )
        )
        if kind == "hood_cleaning":
            world.cleanings.append(end)
    return tuple(sorted(events, key=lambda event: (event.end_day, event.end_minute or 0)))


def _items(world: World) -> list[str]:
    return [*world.subjects, *(item_of(subject) for subject in world.subjects)]


def random_actions(rng: Random, world: World) -> tuple[Action, ...]:
    actions = []
    for _ in range(rng.choice((0, 0, 1, 2, 4, 6))):
        kind, item = rng.choice(
            (
                ("replaced", "belt"), ("regreased", "bearings"), ("cleaned", "wheel"),
                ("cleaned", "housing"), ("cleaned", "duct"), ("balanced", "wheel"),
                ("replaced", "machine"),
                ("replaced", "motor"), ("speed_changed", "sheaves"), ("remounted", "curb"),
                ("regreased", "motor"), ("replaced", "bearings"), ("cleaned", "hood"),
                (rng.choice(SETTLING), rng.choice(_items(world))),
                ("temporary", rng.choice(_items(world))), ("temporary", rng.choice(_items(world))),
            )
        )  # fmt: skip
        actions.append(Action(kind, item, world.day(rng), world.minute(rng)))
    return tuple(sorted(actions, key=lambda action: (action.day, action.minute or 0)))


def random_noted(rng: Random, world: World) -> tuple[Noted, ...]:
    noted = []
    for _ in range(rng.choice((0, 0, 0, 1, 2, 3))):
        subject = rng.choice((*world.subjects, *world.subjects, "vibration"))
        day = world.day(rng)
        verdict = rng.choice(("watch", "act", "stop"))
        noted.append(
            Noted(
                subject,
                item_of(subject),
                verdict,
                day,
                world.minute(rng),
                lasting=rng.random() < 0.15,
                recheck_day=day + rng.randint(0, 90) if rng.random() < 0.5 else None,
                closed_day=day + rng.randint(0, 60) if rng.random() < 0.3 else None,
            )
        )
    return tuple(sorted(noted, key=lambda one: (one.day, one.minute or 0)))


def random_decisions(rng: Random, world: World) -> tuple[Decision, ...]:
    decisions = []
    for _ in range(rng.choice((0, 0, 1, 2, 3))):
        subject = rng.choice(("vibration", "vibration", *world.subjects))
        answer = rng.choice(("go_ahead", "not_now", "not_now", "declined", "declined"))
        decisions.append(Decision(subject, answer, world.day(rng)))
    return tuple(sorted(decisions, key=lambda decision: decision.day))


def random_spans(rng: Random, world: World) -> tuple[OutOfService, ...]:
    spans: list[OutOfService] = []
    day = world.first_day
    for _ in range(rng.choice((0, 0, 0, 0, 1, 1, 2))):
        day += rng.randint(1, 200)
        length = rng.randint(0, 40)
        promised = day + rng.randint(0, 20) if rng.random() < 0.5 else None
        spans.append(OutOfService(day, promised, day + length))
        day += length
    if spans and rng.random() < 0.15:
        spans[-1] = replace(spans[-1], restarted_day=None)
    return tuple(spans)


def random_failures(rng: Random, world: World) -> tuple[int, ...]:
    """Days of losses of function, some told of twice, some from before the fan was entered."""
    days = [world.day(rng) for _ in range(rng.choice((0, 0, 1, 2, 2, 3, 6)))]
    days += [rng.choice(days) for _ in days[:1] if rng.random() < 0.3]
    days += [world.first_day - rng.randint(1, 900) for _ in days[:1] if rng.random() < 0.2]
    return tuple(sorted(days))


def random_prior(rng: Random) -> FailurePrior | None:
    if rng.random() < 0.5:
        return None
    return FailurePrior(
        rng.choice((0.05, 0.82, 1.0, 2.0, 100.0)), rng.choice((0.012, 0.25, 0.5, 1.7)),
        rng.randint(30, 4000),
    )  # fmt: skip
