"""A few kitchens of which everything is known, so that every letter can be told beforehand."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from schedules.demo.county import SCHOOLS, fan_columns, system_columns
from schedules.demo.logins import make_people
from schedules.demo.plates import ON_208, ONE_HP, Columns
from schedules.demo.records import Days, Kitchen, Record, walk
from schedules.demo.write import fleet_csv, visits_jsonl
from schedules.due.reckoning import reckon_fleet
from schedules.services import import_fleet_file, import_visit_file

HOURS = "daily 10:00-22:00"


@dataclass(frozen=True)
class Place:
    """A kitchen with so many fans, last seen and inspected so many days before the window."""

    owner: str
    site: str
    zone: str
    fans: int
    seen: int

    @property
    def email(self) -> str:
        """The address of the owner's mail, made from the first word of their name."""
        return f"{self.owner.split()[0].lower()}@owners.example"


QUIET = "Quiet Diner"
PLACES = (
    Place("Corner Table", "Corner House", "Asia/Kolkata", 2, 210),
    Place("Ridge Kitchens", "Ridge North", "America/Chicago", 2, 200),
    Place("Ridge Kitchens", "Ridge South", "America/Chicago", 1, 40),
    Place("Two Coasts", "Quay West", "America/Los_Angeles", 2, 20),
    Place("Two Coasts", "Thames Mill", "Europe/London", 1, 80),
    Place(SCHOOLS, "Lower School", "Europe/Berlin", 2, 75),
    Place(QUIET, "Quiet Lane", "America/New_York", 1, 240),
)
"""Invented; ``QUIET`` is overdue all the while and never heard from."""


def make_small_world(now: datetime) -> None:
    """Put it on record as it stands at ``now``, by the imports that users have."""
    days = Days(now.date())
    fleet = fleet_csv(row for place in PLACES for row in _rows(place, days))
    visits = visits_jsonl(record for place in PLACES for record in _records(place, now))
    told = import_fleet_file(data=fleet, name="fleet.csv", by=None, now=now)
    seen = import_visit_file(data=visits, name="visits.jsonl", by=None, now=now, here=True)
    if complaints := [*told.complaints, *seen.complaints]:
        raise ValueError(f"the small world was refused: {complaints[0]}")
    make_people(now=now)
    reckon_fleet(now=now)


def _rows(place: Place, days: Days) -> list[Columns]:
    site = {
        "Owner": place.owner, "Owner email": place.email, "Visits per year": "as due",
        "Agreement start": days.on(-500), "Agreement end": days.on(500),
        "Site": place.site, "Address": f"1 {place.site}", "Country": "US", "Time zone": place.zone,
        **system_columns(days, "Main line", "moderate", HOURS),
    }  # fmt: skip
    return [
        {
            **site, **ONE_HP, **ON_208,
            **fan_columns(days, f"EF-{number}", "by the hatch", installed=-900,
                          serial=f"{place.site[:3]}{number}{place.seen}"),
        }
        for number in range(1, place.fans + 1)
    ]  # fmt: skip


def _records(place: Place, now: datetime) -> list[Record]:
    kitchen = Kitchen(place.owner, place.site)
    began = (now - timedelta(days=place.seen)).isoformat()
    looks = [walk(f"EF-{number}") for number in range(1, place.fans + 1)]
    inspected = [{"system": "Main line"}]
    return [
        kitchen.visit("walk_through", began, *looks),
        kitchen.visit("code_inspection", began, inspections=inspected),
    ]
