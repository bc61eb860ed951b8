"""A system's cooking classes, hours, closed days and expected cleanings, planned."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from fleet.imports.drafts import Draft
from fleet.imports.plan import Plan
from fleet.imports.register import Register
from fleet.models import (
    ClosedDay,
    CookingPeriod,
    ExhaustSystem,
    ExpectedCleaning,
    OperatingPeriod,
)
from fleet.opening import Opening

EARLIEST = date(2000, 1, 1)
"""Hours are counted from here at the earliest, however old a machine."""
Period = CookingPeriod | OperatingPeriod


class CalendarPlanner:
    """Plans the dated details of one system after another."""

    def __init__(self, plan: Plan, register: Register) -> None:
        self.plan, self.register = plan, register

    def plan_system(
        self, system: ExhaustSystem, draft: Draft, today: date, first_day: date
    ) -> None:
        """Plan what differs.

        A new period holds from the day said; else from the first fan's day, or where others are on
        record from today.
        """
        said, pk = draft.values, system.pk or 0
        if "classes" in said:
            cooking = self.register.cooking.get(pk, [])
            start = said.get("cooking_from") or _start(cooking, today, first_day)
            values = {"classes": said["classes"]}
            self._period(CookingPeriod(system=system, valid_from=start, **values), cooking, draft)
        if "hours" in said:
            periods = self.register.operating.get(pk, [])
            start = said.get("hours_from") or _start(periods, today, first_day)
            values = {"spans": said["hours"].spans, "always": said["hours"].always}
            self._period(OperatingPeriod(system=system, valid_from=start, **values), periods, draft)
        closed = self.register.closed_days.get(pk, set())
        self._days(ClosedDay, "closed_days", system, draft, closed)
        expected = self.register.expected_cleanings.get(pk, set())
        self._days(ExpectedCleaning, "expected_cleanings", system, draft, expected)

    def _period(self, new: Period, on_record: Sequence[Period], draft: Draft) -> None:
        in_force = [period for period in on_record if period.valid_from <= new.valid_from]
        before = in_force[-1] if in_force else None
        if before and _content(before) == _content(new):
            return
        if on_record:
            name = "classes" if isinstance(new, CookingPeriod) else "hours"
            what = f"{new.system.site.name}: {new.system.name}"
            self.plan.tell(draft.row, what, ("system", name), _shown(before), _shown(new))
        if before and before.valid_from == new.valid_from:
            self.plan.change(before, _content(new))
        else:
            self.plan.add(new)

    def _days(
        self, model: type[Any], name: str, system: ExhaustSystem, draft: Draft, known: set[date]
    ) -> None:
        new = [day for day in draft.values.get(name, []) if day not in known]
        for day in new:
            self.plan.add(model(system=system, day=day))
        if new and system.pk:
            what = f"{system.site.name}: {system.name}"
            self.plan.tell(draft.row, what, ("system", name), sorted(known), sorted({*known, *new}))


def _start(on_record: Sequence[Period], today: date, first_day: date) -> date:
    return today if on_record else max(first_day, EARLIEST)


def _content(period: Period) -> dict[str, Any]:
    names = ("classes",) if isinstance(period, CookingPeriod) else ("spans", "always")
    return {name: getattr(period, name) for name in names}


def _shown(period: Period | None) -> Any:
    if isinstance(period, OperatingPeriod):
        return Opening(period.spans, period.always)
    return period.classes if period else ""
