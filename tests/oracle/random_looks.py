"""Seeded checks for random records: shaking, grease and what the eye saw, plausible and nasty."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import nan
from random import Random

from fleet.quantities import LOOK_LISTS, SEEN, VERDICT_ORDER
from schedules.engine.record import Grease, Look, Machine, Vibration

# Start-up, alarm and shutdown limits [mm/s], peak then rms (ISO 14694, several categories).
LIMITS = {
    "peak": ((7.6, 12.7, 15.875), (6.4, 10.2, 12.7), (14.0, 15.2, 19.0), (12.7, 19.1, 23.875)),
    "rms": ((5.6, 9.0, 11.25), (4.5, 7.1, 9.0), (10.0, 10.6, 13.25), (9.0, 14.0, 17.5)),
}
SUBJECTS = tuple(
    quantity.name
    for quantity in SEEN
    if quantity.name not in ("vibration_felt", "fire_system_start", "volts_word", "amps_absent")
)
FELT_VERDICTS = {
    "none": ("within",), "slight": ("watch", "within"), "strong": ("act",), "violent": ("stop",),
}  # fmt: skip
POINTS = ("motor_radial", "motor_axial", "bearing_radial")
GREASE_LIMIT_UM = {"hood": 2000.0, "duct": 2000.0, "housing": 3175.0}


@dataclass
class Shaking:
    """How one fan shakes over time at one point, as one meter tells it."""

    point: str
    detector: str
    meter: str
    category: int
    level_mm_s: float
    growth_mm_s_a_day: float
    noise_mm_s: float
    hz: float

    def value(self, rng: Random, day: int) -> float:
        value = self.level_mm_s + self.growth_mm_s_a_day * day + rng.gauss(0, self.noise_mm_s)
        return min(100.0, max(0.1, round(value, rng.choice((0, 1, 1, 1, 2)))))

    def reading(self, rng: Random, day: int) -> Vibration:
        value = self.value(rng, day)
        start, alarm, shutdown = LIMITS[self.detector][self.category]
        if rng.random() < 0.03:
            return Vibration(
                self.point, self.detector, self.meter, value, "cannot_judge", hz=self.hz
            )
        steps = (("stop", shutdown), ("act", alarm), ("watch", start))
        verdict = next((name for name, limit in steps if value >= limit), "within")
        hz = rng.choice((self.hz, self.hz, self.hz, self.hz * 1.03, self.hz * 0.96))
        return Vibration(
            self.point, self.detector, self.meter, value, verdict, start, alarm,
            value / start, value / alarm, hz, exact=rng.random() > 0.05,
        )  # fmt: skip


@dataclass
class World:
    """What the random fan is like while its checks are made up."""

    first_day: int
    last_day: int
    machines: list[Machine]
    shaking: list[Shaking] = field(default_factory=list)
    subjects: tuple[str, ...] = ()
    trouble: float = 0.1
    grease_um_a_day: float = 5.0
    cleanings: list[int] = field(default_factory=list)
    timed: float = 0.5
    thorough: float = 0.3
    steady: bool = False

    def day(self, rng: Random) -> int:
        return rng.randint(self.first_day, self.last_day)

    def minute(self, rng: Random) -> int | None:
        return rng.choice((420, 600, 600, 900)) if rng.random() < self.timed else None

    def machine_on(self, day: int, stage: str) -> int:
        """Which machine a check saw; on a day of replacement the old one as found."""
        before = [
            i
            for i, machine in enumerate(self.machines)
            if machine.since_day < day or (machine.since_day == day and stage == "as_left")
        ]
        return before[-1] if before else 0


def steady_shaking(rng: Random) -> Shaking:
    """A slow rise with little noise, which a trend may see before any level is crossed."""
    detector, category = rng.choice(("peak", "rms")), rng.randrange(4)
    start, alarm, _ = LIMITS[detector][category]
    days_to_alarm = rng.uniform(200, 600)
    level = rng.uniform(0.1, 0.6) * start
    growth = (alarm - level) / days_to_alarm
    noise = rng.choice((0.0, 0.05, 0.2, 0.5))
    return Shaking(POINTS[0], detector, "overall", category, level, growth, noise, nan)


def random_shaking(rng: Random, plate_hz: float) -> Shaking:
    detector = rng.choice(("peak", "peak", "rms"))
    category = rng.randrange(4)
    start, alarm, _ = LIMITS[detector][category]
    return Shaking(
        rng.choice(POINTS[:2] if rng.random() < 0.8 else POINTS),
        detector,
        rng.choice(("overall", "overall", "spectrum", "phone")),
        category,
        rng.uniform(0.2 * start, 1.2 * alarm),
        rng.choice((0.0, 0.0, rng.uniform(-0.01, 0.03), rng.uniform(0, 0.06))),
        rng.choice((0.0, 0.1, 0.5, 2.0)),
        rng.choice((nan, nan, plate_hz, 30.0)),
    )


def _grease(rng: Random, world: World, day: int) -> tuple[Grease, ...]:
    readings = []
    for place, limit_um in GREASE_LIMIT_UM.items():
        if rng.random() < 0.6:
            continue
        since = max((c for c in world.cleanings if c <= day), default=world.first_day)
        depth = 50 + (day - since) * world.grease_um_a_day * rng.uniform(0.8, 1.2)
        depth = rng.choice((depth, depth, rng.choice((50.0, limit_um, limit_um + 100))))
        step = rng.choice((1, 50, 100, 250))
        low = depth // step * step
        readings.append(Grease(place, low, low + rng.choice((0, step)), limit_um))
    return tuple(readings)


def _verdicts(rng: Random, world: World) -> dict[str, str]:
    verdicts = {}
    for subject in world.subjects:
        if rng.random() < 0.75:
            bad = rng.random() < world.trouble
            choice = rng.choice(("watch", "watch", "act", "stop")) if bad else "within"
            verdicts[subject] = "cannot_judge" if rng.random() < 0.04 else choice
    return verdicts


def _answered(rng: Random, world: World) -> frozenset[str]:
    if rng.random() < world.thorough:
        return frozenset(item for items in LOOK_LISTS.values() for item in items)
    names = rng.choice(
        (
            ("walk_through_direct", "walk_through_belt"), ("walk_through_belt",),
            ("walk_through_direct",), ("hood_cleaning",), ("start_up", "walk_through_belt"),
            ("new_belt", "storm"), tuple(LOOK_LISTS), (),
        )
    )  # fmt: skip
    items = {item for name in names for item in LOOK_LISTS[name]}
    if items and rng.random() < 0.15:
        items.discard(rng.choice(sorted(items)))
    return frozenset(items)


def _measured(rng: Random, world: World, day: int) -> tuple[Vibration, ...]:
    often = 0.9 if rng.random() < 0.8 else 0.3
    age = day - world.first_day
    readings = [one.reading(rng, age) for one in world.shaking if rng.random() < often]
    if readings and rng.random() < 0.05:
        readings.append(rng.choice(world.shaking).reading(rng, age))
    return tuple(readings)


def random_look(rng: Random, world: World, day: int, minute: int | None, stage: str) -> Look:
    verdicts = _verdicts(rng, world)
    vibration = _measured(rng, world, day)
    if vibration:
        verdicts["vibration"] = max((v.verdict for v in vibration), key=VERDICT_ORDER.__getitem__)
    grades = ("none", "none", "slight", "slight", "strong", "violent")
    felt = rng.choice(grades) if rng.random() < 0.3 else ""
    if felt:
        verdicts["vibration_felt"] = rng.choice(FELT_VERDICTS[felt])
    faults = sorted(s for s in verdicts if verdicts[s] in ("watch", "act", "stop"))
    watched = [s for s in faults if verdicts[s] != "stop"]
    return Look(
        day, minute, stage,
        rng.choice(("walk_through", "walk_through", "service", "replacement", "code_inspection")),
        rng.random() < 0.7, world.machine_on(day, stage), verdicts, _answered(rng, world),
        frozenset(s for s in faults if rng.random() < 0.1),
        rng.random() < 0.1,
        {s: rng.choice((3, 7, 45)) for s in watched if rng.random() < 0.1},
        vibration, felt, _grease(rng, world, day),
    )  # fmt: skip


def random_looks(rng: Random, world: World) -> tuple[Look, ...]:
    """Visits of one or two stages, now and then two on a day, in order of time."""
    count = rng.choice((6, 9, 12) if world.steady else (0, 1, 2, 3, 5, 8, 8, 12))
    regular = world.steady or rng.random() < 0.6
    gap = rng.choice((7, 14, 30, 60))
    looks = []
    for index in range(count):
        day = world.first_day + index * gap + rng.randint(0, 3) if regular else world.day(rng)
        minute = world.minute(rng)
        if rng.random() < 0.9:
            looks.append(random_look(rng, world, day, minute, "as_found"))
        if rng.random() < 0.2:
            looks.append(random_look(rng, world, day, minute, "as_left"))
        if rng.random() < 0.08:
            looks.append(random_look(rng, world, day, world.minute(rng), "as_found"))
    return tuple(sorted(looks, key=lambda look: (look.day, look.minute or 0)))
