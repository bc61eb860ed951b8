"""Import a file of fans: all of it or nothing, told before and after."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta

from django.db import IntegrityError, transaction

from fleet.imports.applying import store
from fleet.imports.complaints import Complaint, Complaints, FileError
from fleet.imports.drafts import Gatherer, places_of
from fleet.imports.headings import find_header
from fleet.imports.likeness import note_likenesses
from fleet.imports.machines import set_gone_machines_apart
from fleet.imports.plan import Plan
from fleet.imports.planning import Planner
from fleet.imports.reading import read_table
from fleet.imports.register import load_register
from fleet.imports.report import ImportReport, Onboarding
from fleet.imports.rows import RowReader
from fleet.imports.table import Table
from fleet.models import Fan, Owner, Person, Site
from fleet.services.onboarding import DEFAULT_WEEKS, give_onboarding_days
from fleet.signals import touch_fans


def import_fleet(
    *,
    data: bytes,
    name: str,
    by: Person | None,
    now: datetime,
    dry_run: bool = False,
    onboarding_weeks: int = DEFAULT_WEEKS,
) -> ImportReport:
    """Bring the register in line with a CSV or XLSX file of fans (columns: ``fleet.imports``).

    Nothing is stored unless every row passes; a ``dry_run`` stores nothing and reports the same.
    Blank cells leave what is on record.  New fans get an onboarding day within
    ``onboarding_weeks`` from tomorrow; 0 gives none.  Never raises for what a file holds: the
    report carries every complaint.
    """
    try:
        table = read_table(data)
        with _collector_paused(), transaction.atomic():
            return _import_table(table, name, by, now, dry_run, onboarding_weeks)
    except FileError as error:
        complaint = Complaint(error.code, int(error.told.get("row", 0)), args=error.told)
    except IntegrityError as error:
        # somebody else stored the same names between our reading and our writing
        complaint = Complaint("register_moved", args={"said": str(error)})
    return ImportReport(name, dry_run, complaints=(complaint,), complaint_count=1)


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


def _import_table(
    table: Table, name: str, by: Person | None, now: datetime, dry_run: bool, weeks: int
) -> ImportReport:
    complaints = table.complaints
    plan = _plan(table, complaints, now)
    if complaints or plan is None:
        return ImportReport(
            name, dry_run, complaints=tuple(complaints), complaint_count=complaints.count,
            notes=tuple(complaints.notes),
        )  # fmt: skip
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


def _plan(table: Table, complaints: Complaints, now: datetime) -> Plan | None:
    """The plan, or None where the file has complaints (then they are all collected)."""
    header = find_header(table, complaints)
    if header is None:
        return None
    reader = RowReader(header, complaints, now)
    reader.report_traps(table.traps)
    rows = reader.read()
    if not rows:
        complaints.add("no_rows", header.row)
    register = load_register(places_of(rows))
    drafts = Gatherer(reader, register).gather(rows)
    set_gone_machines_apart(drafts, register, reader)
    note_likenesses(drafts, register, reader)
    return None if complaints else Planner(drafts, register, complaints, now).make()


def _onboard(plan: Plan, weeks: int, now: datetime) -> Onboarding | None:
    fans = plan.added.get(Fan, [])
    if not fans or not weeks:
        return None
    days = give_onboarding_days(fans, weeks, now.date() + timedelta(days=1))
    return Onboarding(len(days), days[0], days[-1])
