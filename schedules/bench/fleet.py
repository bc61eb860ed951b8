"""An invented fleet in the register: sites of four fans on two systems, with hours and cooking."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from random import Random
from typing import TypeVar

from django.db.models import Model

from fleet.models import (
    Agreement,
    ClosedDay,
    CookingPeriod,
    ExhaustSystem,
    Fan,
    OperatingPeriod,
    Owner,
    Site,
)

START = date(2024, 3, 4)
"""The day this fleet begins, a Monday."""

SYSTEMS_PER_SITE, FANS_PER_SYSTEM, SITES_PER_OWNER = 2, 2, 100
FANS_PER_SITE = SYSTEMS_PER_SITE * FANS_PER_SYSTEM
ZONES = ("America/New_York", "America/Chicago", "America/Denver", "America/Los_Angeles")
SURROUNDINGS = ("inland", "inland", "inland", "coastal", "corrosive")
COOKING = ("solid_fuel", "high", "high", "moderate", "moderate", "low")
ROWS_AT_ONCE = 2_000

M = TypeVar("M", bound=Model)


def random_for(*names: object) -> Random:
    """A generator of its own for each thing, so that sizes do not change what one fan is like."""
    return Random("/".join(map(str, names)))  # noqa: S311  # invented lives, no secret


def make_register(first: int, fans: int, sites_per_owner: int = SITES_PER_OWNER) -> list[Fan]:
    """Add fans number ``first`` to ``first + fans`` with their sites, systems and owners."""
    sites = _sites(first // FANS_PER_SITE, -(-fans // FANS_PER_SITE), sites_per_owner)
    systems = store(
        ExhaustSystem(site=site, name=f"Line {at + 1}")
        for site in sites
        for at in range(SYSTEMS_PER_SITE)
    )
    _add_calendars(systems)
    return store(
        Fan(site=system.site, system=system, tag=f"EF-{system.name[-1]}{at + 1}", entered_on=START)
        for system in systems
        for at in range(FANS_PER_SYSTEM)
    )[:fans]


def store(rows: Iterable[M]) -> list[M]:
    """Write rows of one model; nothing for none."""
    made = list(rows)
    if not made:
        return made
    return type(made[0])._default_manager.bulk_create(made, batch_size=ROWS_AT_ONCE)


def _sites(first: int, count: int, per_owner: int) -> list[Site]:
    owner_numbers = sorted({n // per_owner for n in range(first, first + count)})
    owners = {number: _owner(number) for number in owner_numbers}
    sites = []
    for number in range(first, first + count):
        rng = random_for("site", number)
        sites.append(
            Site(
                owner=owners[number // per_owner],
                name=f"Kitchen {number}",
                time_zone=rng.choice(ZONES),
                surroundings=rng.choice(SURROUNDINGS),
            )
        )
    return store(sites)


def _owner(number: int) -> Owner:
    owner, made = Owner.objects.get_or_create(name=f"Owner {number}")
    if made:
        rng = random_for("owner", number)
        Agreement.objects.create(
            owner=owner,
            starts_on=START,
            reliability=rng.choice(("low", "medium", "medium", "high")),
            stretching_allowed=rng.random() < 0.3,
        )
    return owner


def _add_calendars(systems: list[ExhaustSystem]) -> None:
    """Hours for nine systems in ten, some of these with closed days; cooking for all."""
    cooking, hours, closed = [], [], []
    for system in systems:
        rng = random_for("system", system.pk)
        cooking.append(
            CookingPeriod(system=system, valid_from=START, classes=[rng.choice(COOKING)])
        )
        if rng.random() < 0.9:
            hours.append(_hours(system, rng))
            if rng.random() < 0.2:
                holidays = (START + timedelta(days=297 + 365 * year) for year in range(3))
                closed += [ClosedDay(system=system, day=day) for day in holidays]
    store(cooking)
    store(hours)
    store(closed)


def _hours(system: ExhaustSystem, rng: Random) -> OperatingPeriod:
    opens, closes = rng.choice((360, 540, 600, 660)), rng.choice((870, 1260, 1320, 1500))
    sunday: list[list[int]] = rng.choice(([], [[600, 1200]]))
    week = [[[opens, closes]]] * 5 + [[[opens + 30, closes]], sunday]
    return OperatingPeriod(system=system, valid_from=START, spans=week, always=rng.random() < 0.03)
