"""Bring travel times on record from a file, all or nothing; forget them."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from django.core.exceptions import PermissionDenied

from config.collisions import in_one_transaction
from fleet.imports.complaints import Complaint
from fleet.models import Person
from schedules.models import TravelPlace, TravelTime
from schedules.rounds.ways.looking import Looked, Ways, look_over
from schedules.rounds.ways.places import SITE, Key, Places, has_moved
from schedules.rounds.ways.reading import read_ways

BATCH = 2_000


@dataclass(frozen=True)
class TravelReport:
    """What became of a file, or would.

    ``complaint_count`` may exceed the complaints kept; with any nothing is stored.  ``blank`` rows
    had no minutes, ``estimated`` ways no distance.  ``looked`` is how all ways stand with it.
    """

    file: str
    dry_run: bool
    complaints: tuple[Complaint, ...] = ()
    complaint_count: int = 0
    notes: tuple[Complaint, ...] = ()
    added: dict[str, int] = field(default_factory=dict)
    changed: int = 0
    blank: int = 0
    estimated: int = 0
    looked: Looked | None = None

    @property
    def refused(self) -> bool:
        """Whether anything is wrong; then nothing was stored."""
        return self.complaint_count > 0

    @property
    def changes_nothing(self) -> bool:
        """Whether all of the file was on record already."""
        return not self.refused and not self.added and not self.changed


def import_travel_file(
    *, data: bytes, name: str, by: Person | None, now: datetime, dry_run: bool = False
) -> TravelReport:
    """Ways of a CSV or XLSX file (``reading.py``); those it does not name stay as they are.

    PermissionDenied for who does not plan; a command on the machine itself may.
    """
    _require_planner(by)
    places = Places.now()
    read = read_ways(data, places)
    complaints, notes = tuple(read.complaints), tuple(read.complaints.notes)
    if complaints:
        return TravelReport(name, dry_run, complaints, read.complaints.count, notes)
    before = look_over(places).ways
    new = {way: told for way, told in read.ways.items() if before.get(way) != told}
    added = sum(way not in before for way in new)
    if new and not dry_run:
        _store(new, places, by, now)
    return TravelReport(
        name, dry_run, notes=notes, added={"ways": added} if added else {},
        changed=len(new) - added, blank=read.blank, estimated=read.estimated,
        looked=look_over(places, new),
    )  # fmt: skip


@in_one_transaction
def forget_travel(*, by: Person | None) -> int:
    """Plan by great circles again; how many ways were forgotten.  Raises PermissionDenied."""
    _require_planner(by)
    count = TravelTime.objects.count()
    TravelTime.objects.all().delete()
    TravelPlace.objects.all().delete()
    return count


@in_one_transaction
def _store(ways: Ways, places: Places, by: Person | None, now: datetime) -> None:
    rows = _places_of({key for way in ways for key in way}, places)
    TravelTime.objects.bulk_create(
        [
            TravelTime(
                start_id=rows[start], end_id=rows[end], minutes=minutes, metres=metres,
                entered_at=now, entered_by=by,
            )
            for (start, end), (minutes, metres) in ways.items()
        ],
        batch_size=BATCH,
        update_conflicts=True,
        unique_fields=["start", "end"],
        update_fields=["minutes", "metres", "entered_at", "entered_by"],
    )  # fmt: skip


def _places_of(keys: set[Key], places: Places) -> dict[Key, int]:
    """The rows of places, new ones for those that moved, whose former ways go."""
    known = {row.key: row for row in TravelPlace.objects.select_for_update().order_by("pk")}
    moved = [
        row.pk for key, row in known.items()
        if key in keys and has_moved(row, places.positions[key])
    ]  # fmt: skip
    TravelPlace.objects.filter(pk__in=moved).delete()
    new = [
        _place(key, *places.positions[key])
        for key in sorted(keys)
        if key not in known or known[key].pk in moved
    ]
    rows = [*TravelPlace.objects.bulk_create(new), *known.values()]
    return {row.key: row.pk for row in rows if row.pk not in moved}


def _place(key: Key, latitude: float, longitude: float) -> TravelPlace:
    of = {"site_id": key[1]} if key[0] == SITE else {"technician_id": key[1]}
    return TravelPlace(**of, latitude=latitude, longitude=longitude)


def _require_planner(by: Person | None) -> None:
    if by is not None and not by.plans:
        raise PermissionDenied("Only managers and dispatchers bring travel times.")
