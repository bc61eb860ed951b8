"""Facts behind a date that no number of its rule tells: why monthly, what a look left out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from fleet.models import Fan, Machine
from fleet.quantities import LOOK_LISTS
from schedules.engine import after_event, walk_through
from schedules.engine.parameters import WalkThrough
from schedules.engine.record import RuleDate
from visits.judging import readings_of
from visits.limits import unanswered
from visits.models import Check

USUAL_MONTHS = WalkThrough().base_months
Dates = Sequence[tuple[int, RuleDate]]


@dataclass(frozen=True)
class Monthly:
    """What makes a fan be walked more often than others: ``belt``, ``coastal``, ``corrosive``."""

    reasons: tuple[str, ...]


@dataclass(frozen=True)
class LeftOut:
    """Entries of an event's list that the last look after it did not answer."""

    on: date
    entries: tuple[str, ...]


def grounds_of(dates: Dates) -> Iterator[tuple[int, int, Monthly | LeftOut]]:
    """Fan id, rule and the fact behind its date, where there is one; at most three queries."""
    for fan_id, reasons in _monthly(dates).items():
        yield fan_id, walk_through.number, Monthly(reasons)
    for fan_id, left_out in _left_out(dates).items():
        yield fan_id, after_event.number, left_out


def _monthly(dates: Dates) -> Mapping[int, tuple[str, ...]]:
    often = {
        fan_id
        for fan_id, told in dates
        if "last_day" in told.args and told.args.get("base_months", USUAL_MONTHS) < USUAL_MONTHS
    }
    if not often:
        return {}
    belts = Machine.objects.filter(removed_on=None, drive=Machine.Drive.BELT).values("fan")
    fans = Fan.objects.filter(pk__in=often).order_by()
    told = {fan_id: ["belt"] for fan_id in fans.filter(pk__in=belts).values_list("pk", flat=True)}
    for fan_id, air in fans.exclude(site__surroundings="inland").values_list(
        "pk", "site__surroundings"
    ):
        told.setdefault(fan_id, []).append(air)
    return {fan_id: tuple(reasons) for fan_id, reasons in told.items()}


def _left_out(dates: Dates) -> Mapping[int, LeftOut]:
    asked = {
        fan_id: (told.why, date.fromordinal(int(told.args["event_day"])))
        for fan_id, told in dates
        if told.rule == after_event.number and told.why in (*after_event.EVENTS, "start_up")
    }
    if not asked:
        return {}
    checks = Check.objects.filter(
        fan__in=asked,
        visit__superseded_by__isnull=True,
        visit__local_on__gte=min(day for _, day in asked.values()),
    )
    last: dict[int, Check] = {}
    for check in checks.select_related("visit", "machine").order_by("began_at", "pk"):
        if _counts(check, *asked[check.fan_id]):
            last[check.fan_id] = check
    found = {}
    for fan_id, check in last.items():
        entries = unanswered(readings_of(vars(check)), LOOK_LISTS[asked[fan_id][0]])
        if entries:
            found[fan_id] = LeftOut(check.visit.local_on, entries)
    return found


def _counts(check: Check, why: str, day: date) -> bool:
    """Whether a check is a look after the event, be it a part of one."""
    on, found = check.visit.local_on, check.stage == "as_found"
    if why == "start_up":
        # On its own visit the new machine is what was left, not what was found.
        in_place = check.machine is not None and check.machine.removed_on is None
        return in_place and on >= day and (found or check.visit.kind == "replacement")
    # On the day itself nobody can tell here which came first.
    return found and on > day
