"""Puts the demo fleet on record through the imports that users have."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from time import perf_counter
from zoneinfo import ZoneInfo

from django.db import transaction

from fleet.models import Agreement, Owner, Person
from schedules.demo.county import DAYS_OF_HISTORY, DINING, OWNERS, ZONE
from schedules.demo.crew import make_crew
from schedules.demo.logins import make_people
from schedules.demo.pictures import flooded_roof, rusted_housing
from schedules.demo.records import named
from schedules.demo.world import make_world
from schedules.demo.write import fleet_csv, visits_jsonl
from schedules.services import import_fleet_file, import_visit_file
from visits.models import Visit
from visits.services import attach_photo

Tell = Callable[[str], object]
SEEN = (
    (
        rusted_housing,
        {
            "site__name": "Tannevale Ferry Steps",
            "checks__corrosion": "deep",
            "checks__fan__tag": "EF-2",
        },
        {"fan": "EF-2", "subject": "corrosion", "caption": "Seaward side, below the seam."},
    ),
    (
        flooded_roof,
        {
            "site__name": "Brackenmoor Pinefall Upper",
            "not_reached__reason": "weather",
            "not_reached__fan__tag": "EF-2",
        },
        {"fan": "EF-2", "caption": "The only way to it, that morning."},
    ),
)
"""What was photographed, on which visit, and the words beside it."""


class DemoError(Exception):
    """The demo fleet could not be put on record; the text says why."""


@dataclass(frozen=True, slots=True)
class Files:
    """The demo fleet as a user would hand it over."""

    fleet: bytes
    visits: bytes


def demo_day() -> date | None:
    """The day for which the demo fleet on record was made; None where there is none."""
    first = Agreement.objects.filter(owner__name=DINING).order_by("starts_on").first()
    return None if first is None else first.starts_on + timedelta(days=DAYS_OF_HISTORY)


def refuse_beside_others() -> None:
    """Raise DemoError where owners are on record whom the demo did not invent."""
    others = Owner.objects.exclude(name__in=OWNERS).order_by("name")
    names = list(others.values_list("name", flat=True))
    if names:
        listed = ", ".join(names[:3]) + (f" and {len(names) - 3} more" if names[3:] else "")
        raise DemoError(
            f"this database holds owners who are not the demo's ({listed}); an invented fleet and "
            "its people do not belong beside them: give the demo a folder of its own with "
            "DATA_DIR (or another DATABASE_URL)"
        )


def make_files(today: date, fans: int) -> Files:
    """The two files for a day; ValueError for too few fans."""
    world = make_world(today, fans)
    return Files(fleet_csv(world.rows), visits_jsonl(world.records))


@transaction.atomic
def import_demo(*, files: Files, now: datetime, tell: Tell) -> None:
    """Import fleet, people and visits, all or nothing; raises DemoError with what was refused."""
    began = perf_counter()
    fleet = import_fleet_file(data=files.fleet, name="fleet.csv", by=None, now=now)
    if fleet.refused:
        raise DemoError(f"fleet.csv was refused: {fleet.complaints[0]}")
    rows = {name: fleet.added[name] for name in ("owner", "site", "fan")}
    tell(f"Imported fleet.csv: {_counted(rows)} ({perf_counter() - began:.1f} s)")
    make_people(now=now)
    make_crew(now=now, today=now.astimezone(ZoneInfo(ZONE)).date())
    began = perf_counter()
    visits = import_visit_file(data=files.visits, name="visits.jsonl", by=None, now=now, here=True)
    if visits.refused:
        raise DemoError(f"visits.jsonl was refused: {visits.complaints[0]}")
    took = perf_counter() - began
    tell(f"Imported visits.jsonl: {_counted(visits.added)}, dates reckoned ({took:.1f} s)")
    try:
        _attach_photos(now)
    except OSError as error:
        raise DemoError(f"photos cannot be kept in DATA_DIR ({error.strerror})") from error


def _attach_photos(now: datetime) -> None:
    for draw, where, words in SEEN:
        visit = Visit.objects.filter(**where).select_related("technician").first()
        if visit is not None:
            told = {"id": named("photo", draw.__name__, str(visit.pk)), **words}
            by: Person | None = visit.technician
            attach_photo(visit=visit, told=told, data=draw(), by=by, now=now)


def moment_of(today: date) -> datetime:
    """Noon of that day in the county: the moment at which the demo fleet is handed over."""
    return datetime(today.year, today.month, today.day, 12, tzinfo=ZoneInfo(ZONE))


def _counted(added: Mapping[str, int]) -> str:
    return ", ".join(f"{number} {name}{'s' * (number != 1)}" for name, number in added.items())
