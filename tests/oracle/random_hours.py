"""Seeded operating calendars, hour meters, cooking classes and inspections for random records."""

from __future__ import annotations

from random import Random

from schedules.engine.record import Calendar, CalendarPeriod, Cooking, Inspection, MeterReading
from tests.oracle.inspection import inspection_due, months_in_force
from tests.oracle.random_looks import World

ZONES = (
    "America/New_York", "America/New_York", "America/Phoenix", "America/Los_Angeles",
    "Europe/London", "Australia/Lord_Howe", "UTC",
)  # fmt: skip
SPANS = (
    ((660, 1380),), ((660, 840), (1020, 1380)), ((1320, 1800),), ((420, 1560),), ((0, 1440),),
    ((90, 150), (600, 1200)), (), ((1080, 1605),),
)  # fmt: skip


def _period(rng: Random, day: int) -> CalendarPeriod:
    if rng.random() < 0.1:
        return CalendarPeriod(day, always=True)
    usual, sunday = rng.choice(SPANS), rng.choice(SPANS)
    return CalendarPeriod(day, (usual,) * 5 + (rng.choice(SPANS), sunday))


def random_calendar(rng: Random, world: World) -> Calendar | None:
    if rng.random() < 0.15:
        return None
    count = rng.choice((0, 1, 1, 1, 1, 2, 3))
    # No two from one day: the tables hold none, and the engine refuses them.
    periods = sorted({world.day(rng) - rng.choice((0, 400)) for _ in range(count)})
    closed = sorted({world.day(rng) for _ in range(rng.choice((0, 0, 3, 12)))})
    return Calendar(rng.choice(ZONES), tuple(_period(rng, day) for day in periods), tuple(closed))


def random_meter(rng: Random, world: World) -> tuple[MeterReading, ...]:
    """Now and then a meter: rolling over, replaced, read twice a day, or telling nonsense."""
    if rng.random() < 0.55:
        return ()
    digits = rng.choice((4, 5, 6))
    hours = rng.uniform(0, 10**digits)
    rate = rng.choice((2.0, 8.0, 12.0, 12.0, 0.5, 30.0))
    days = sorted(world.day(rng) for _ in range(rng.choice((1, 2, 3, 5, 8))))
    meter, previous, readings = "m1", days[0], []
    for day in days:
        hours = round((hours + (day - previous) * rate * rng.uniform(0.8, 1.2)) % 10**digits, 1)
        readings.append(MeterReading(day, hours, meter, digits))
        previous = day
        if rng.random() < 0.12:
            meter, hours = meter + "x", 0.0
            readings.append(MeterReading(day, hours, meter, digits))
    return tuple(readings)


def random_cooking(rng: Random, world: World) -> tuple[Cooking, ...]:
    classes = ("solid_fuel", "high", "moderate", "low", "low", "unheard_of")
    days = sorted(world.day(rng) for _ in range(rng.choice((0, 1, 1, 1, 2, 3))))
    return tuple(
        Cooking(day, tuple(rng.sample(classes, rng.choice((0, 1, 1, 1, 2))))) for day in days
    )


def random_inspections(
    rng: Random, world: World, cooking: tuple[Cooking, ...]
) -> tuple[Inspection, ...]:
    """Inspections, many of them exactly on the day they were due."""
    days: list[int] = []
    told = []
    for _ in range(rng.choice((0, 1, 1, 2, 4))):
        day = max([*days, world.first_day]) + rng.randint(0, 200)
        if days and rng.random() < 0.6:
            day = inspection_due(sorted(set(days)), lambda d: months_in_force(cooking, d))
        qualified = rng.random() < 0.85
        told.append(Inspection(day, qualified))
        if qualified:
            days.append(day)
    return tuple(sorted(told, key=lambda inspection: inspection.day))
