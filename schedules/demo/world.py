"""The whole demo fleet for one day: the stories' fans, a generated crowd, hotels new to us."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from random import Random

from schedules.demo import plates
from schedules.demo.county import (
    HOTELS,
    SCHOOLS,
    SITES,
    Site,
    fan_columns,
    site_columns,
    system_columns,
)
from schedules.demo.looks import Fan
from schedules.demo.physics import FanLife
from schedules.demo.plates import Columns
from schedules.demo.records import Days, Record
from schedules.demo.site_life import SiteLife, System
from schedules.demo.stories import STORIES
from schedules.demo.stories.story import Stage

FANS = 150
HOTEL_FANS = 18
SEED = "orrinshaw"
LINES = ("Main line", "Second line", "Third line", "Fourth line", "Fifth line")
PLACES = ("by the hatch", "north edge", "over the fryers", "south corner", "middle of the roof")
DINING_HOURS = "Mon-Thu 10:00-22:30; Fri-Sat 10:00-23:30; Sun 11:00-21:00"
SCHOOL_HOURS = "Mon-Fri 6:30-14:30"

ROOFS: dict[str, tuple[tuple[Columns, Columns], ...]] = {
    "dining": (
        (plates.ONE_HP, plates.ON_208), (plates.ONE_HP, plates.ON_208),
        (plates.HALF_AGAIN, plates.ON_208_LARGE), (plates.TWO_HP, plates.ON_208_TWO_HP),
        (plates.PSC, plates.ON_120), (plates.EC, plates.ON_208_EC),
    ),
    "school": (
        (plates.ONE_HP, plates.ON_480), (plates.PSC, plates.ON_120), (plates.EC, plates.ON_208_EC),
    ),
    "belts": (
        (plates.BELT_ONE_HP, plates.ON_208), (plates.BELT_TWO_HP, plates.ON_208_TWO_HP),
    ),
}  # fmt: skip
"""What kinds of fans stand together on a roof, each as nameplate and feed."""


@dataclass(frozen=True, slots=True)
class World:
    """Rows of the fleet file and records of the visits file."""

    rows: tuple[Columns, ...]
    records: tuple[Record, ...]


def least_fans() -> int:
    """Fewer fans cannot hold the stories."""
    return sum(len(stage.rows) for stage in _stages(Days(date(2026, 1, 1)))) + HOTEL_FANS


def make_world(today: date, fans: int = FANS, seed: str = SEED) -> World:
    """The demo fleet as it stands on ``today``; the same day, size and seed give the same one.

    Raises ValueError for fewer fans than the stories need.
    """
    days = Days(today)
    stages = _stages(days)
    told = {stage.site: stage for stage in stages}
    crowd = fans - sum(len(stage.rows) for stage in stages) - HOTEL_FANS
    if crowd < 0:
        raise ValueError(f"{fans} fans do not hold the stories; ask for {fans - crowd} or more")
    rows = [row for stage in stages for row in stage.rows]
    records = [record for stage in stages for record in stage.records]
    for site, count in _shares(crowd):
        life = _site_life(site, count, days, seed, told.get(site.name))
        rows += [fan.row for fan in life.fans]
        records += life.live()
    rows += _hotel_rows(days, seed)
    return World(tuple(rows), tuple(records))


def _stages(days: Days) -> list[Stage]:
    return [tell(days) for tell in STORIES]


def _shares(crowd: int) -> list[tuple[Site, int]]:
    """How many generated fans each kitchen gets."""
    sites = [site for site in SITES if site.owner != HOTELS]
    shares = [(site, (crowd + at) // len(sites)) for at, site in enumerate(sites)]
    return [(site, count) for site, count in shares if count]


def _site_life(site: Site, count: int, days: Days, seed: str, stage: Stage | None) -> SiteLife:
    rng = Random(f"{seed}/{site.name}")  # noqa: S311  # a landscape, no secret
    systems: list[System] = []
    taken = len(stage.rows) if stage else 0
    kind = _roof(site, rng)
    metric = site.owner == SCHOOLS
    for at in range(count):
        if at % 2 == 0:
            systems.append(_system(site, len(systems), rng))
        system = systems[-1]
        system.fans.append(_fan(site, system, f"EF-{taken + at + 1}", kind, days, seed, metric))
    return SiteLife(
        site=site, systems=systems, days=days, rng=rng, meter=rng.random() < 0.6,
        storms=site.coastal and stage is None,
    )  # fmt: skip


def _roof(site: Site, rng: Random) -> str:
    if site.owner == SCHOOLS:
        return "belts" if rng.random() < 0.4 else "school"
    return "dining"


def _system(site: Site, at: int, rng: Random) -> System:
    name = LINES[at] if at < len(LINES) else f"Line {at + 1}"
    if site.owner == SCHOOLS:
        return System(name, rng.choice(("low", "low", "moderate")))
    return System(name, rng.choice(("high", "high", "moderate", "moderate", "low")))


def _fan(
    site: Site, system: System, tag: str, roof: str, days: Days, seed: str, metric: bool
) -> Fan:
    rng = Random(f"{seed}/{site.name}/{tag}")  # noqa: S311  # a landscape, no secret
    plate, feed = rng.choice(ROOFS[roof])
    if rng.random() < 0.04:
        plate = {**plate, **{name: plates.UNREADABLE[name] for name in ("Volts", "Full-load amps")}}
        feed = {**feed, "Connected volts": "", "Connection confirmed": ""}
    installed = -rng.randrange(700, 5500)
    serial = f"{rng.randrange(16**5):05X}"
    row = {
        **site_columns(site, days),
        **system_columns(days, system.name, system.cooking, _hours(site)),
        **fan_columns(days, tag, rng.choice(PLACES), installed=installed, serial=serial),
        **plate,
        **feed,
    }
    life = FanLife(
        rng=rng, belt=plate["Drive"] == "belt", cooking=system.cooking, coastal=site.coastal,
        day=-560,
    )  # fmt: skip
    return Fan(tag, system.name, row, life, rng, metric, has_panel=rng.random() < 0.5)


def _hours(site: Site) -> str:
    return SCHOOL_HOURS if site.owner == SCHOOLS else DINING_HOURS


def _hotel_rows(days: Days, seed: str) -> list[Columns]:
    """A fleet that came over from somebody else last week, without any history."""
    hotels = [site for site in SITES if site.owner == HOTELS]
    rows = []
    for at in range(HOTEL_FANS):
        site = hotels[at % len(hotels)]
        rng = Random(f"{seed}/{site.name}/{at}")  # noqa: S311  # a landscape, no secret
        plate, feed = rng.choice(ROOFS["dining"])
        serial = f"{rng.randrange(16**5):05X}"
        rows.append({
            **site_columns(site, days),
            **system_columns(days, LINES[at // len(hotels) % 2], "high", DINING_HOURS),
            **fan_columns(days, f"KX-{at // len(hotels) + 1}", rng.choice(PLACES),
                          installed=-rng.randrange(900, 4000), serial=serial),
            "Entered on": days.on(0), **plate, **feed,
        })  # fmt: skip
    return rows
