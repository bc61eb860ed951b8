"""Import a file of fans: all of it or nothing, told before and after."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from copy import deepcopy
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import IntegrityError, transaction

from config.collisions import one_snapshot
from fleet.imports.applying import store
from fleet.imports.complaints import Complaints, FileError
from fleet.imports.drafts import Gatherer, places_of
from fleet.imports.headings import find_header
from fleet.imports.likeness import note_likenesses
from fleet.imports.machines import set_gone_machines_apart
from fleet.imports.plan import Plan
from fleet.imports.planning import Planner
from fleet.imports.reading import read_table
from fleet.imports.register import load_register
from fleet.imports.report import ImportReport, Onboarding
from fleet.imports.rows import FanRow, RowReader
from fleet.models import Fan, Owner, Person, Site
from fleet.services.onboarding import DEFAULT_WEEKS, give_onboarding_days
from fleet.signals import touch_fans


@dataclass(frozen=True, slots=True)
class FleetFile:
    """A file of fans as read; nothing has been looked up in the register yet."""

    rows: list[FanRow]
    complaints: Complaints
    reader: RowReader | None = None

    @property
    def refused(self) -> bool:
        """Whether the file is wrong, whatever the register holds."""
        return bool(self.complaints)


def read_fleet(*, data: bytes, now: datetime) -> FleetFile:
    """Read a CSV or XLSX file of fans (columns: ``fleet.imports``) without the database.

    Never raises for what a file holds: its complaints say everything.
    """
    with _collector_paused():
        try:
            table = read_table(data)
        except FileError as error:
            complaints = Complaints()
            complaints.add_error(error)
            return FleetFile([], complaints)
        complaints = table.complaints
        header = find_header(table, complaints)
        if header is None:
            return FleetFile([], complaints)
        reader = RowReader(header, complaints, now)
        reader.report_traps(table.traps)
        rows = reader.read()
        if not rows:
            complaints.add("no_rows", header.row)
        return FleetFile(rows, complaints, reader)


def import_fleet(
    *,
    file: FleetFile,
    name: str,
    by: Person | None,
    now: datetime,
    dry_run: bool = False,
    onboarding_weeks: int = DEFAULT_WEEKS,
) -> ImportReport:
    """Bring the register in line with a file of fans.

    Nothing is stored unless every row passes; a ``dry_run`` stores nothing, holds up nobody who
    writes, and reports the same.  Blank cells leave what is on record.  New fans get an onboarding
    day within ``onboarding_weeks`` from tomorrow; 0 gives none.  The report carries every
    complaint.
    """
    only_read = dry_run or file.refused
    try:
        with _collector_paused(), one_snapshot() if only_read else transaction.atomic():
            return _import(file, name, by, now, dry_run, onboarding_weeks)
    except IntegrityError as error:
        # somebody else stored the same names between our reading and our writing
        complaints = Complaints()
        complaints.add("register_moved", said=str(error))
    return _refusal(name, dry_run, complaints)


def _refusal(name: str, dry_run: bool, complaints: Complaints) -> ImportReport:
    return ImportReport(
        name, dry_run, complaints=tuple(complaints), complaint_count=complaints.count,
        notes=tuple(complaints.notes),
    )  # fmt: skip


@contextmanager
def _collector_paused() -> Iterator[None]:
    """Spare the garbage collector: a big file makes millions of objects, none of them in cycles."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _import(
    file: FleetFile, name: str, by: Person | None, now: datetime, dry_run: bool, weeks: int
) -> ImportReport:
    # a transaction that is tried again must not find its own complaints
    complaints = deepcopy(file.complaints)
    plan = _plan(file, complaints, now)
    if complaints or plan is None:
        return _refusal(name, dry_run, complaints)
    onboarding = _onboard(plan, weeks, now)
    fan_ids: list[int] = []
    if not dry_run and not plan.is_empty:
        fan_ids = store(plan, by, now, f"import of {name}"[:100])
        touch_fans(fan_ids)
    return ImportReport(
        name, dry_run, plan.fans_in_file, notes=tuple(complaints.notes), added=dict(plan.counts()),
        new_owners=plan.names_of(Owner), new_sites=plan.names_of(Site),
        changes=tuple(plan.changes), motors=tuple(plan.motors), onboarding=onboarding,
        fan_ids=tuple(fan_ids),
    )  # fmt: skip


def _plan(file: FleetFile, complaints: Complaints, now: datetime) -> Plan | None:
    """The plan, or None where the file has complaints (then they are all collected)."""
    if file.reader is None:
        return None
    reader = file.reader.telling(complaints)
    register = load_register(places_of(file.rows))
    drafts = Gatherer(reader, register).gather(file.rows)
    set_gone_machines_apart(drafts, register, reader)
    note_likenesses(drafts, register, reader)
    return None if complaints else Planner(drafts, register, complaints, now).make()


def _onboard(plan: Plan, weeks: int, now: datetime) -> Onboarding | None:
    fans = plan.added.get(Fan, [])
    if not fans or not weeks:
        return None
    days = give_onboarding_days(fans, weeks, now.date() + timedelta(days=1))
    return Onboarding(len(days), days[0], days[-1])
