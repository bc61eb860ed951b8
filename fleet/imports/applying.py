"""Store a plan: everything new, everything changed, with its history, in one go."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.db.models import Model

from fleet.imports.plan import Plan
from fleet.models import (
    Agreement,
    ClosedDay,
    CookingPeriod,
    ExhaustSystem,
    ExpectedCleaning,
    Fan,
    Feed,
    Machine,
    OperatingPeriod,
    Owner,
    Person,
    Site,
)
from fleet.writing import create_all, rows_in, update_all

PARENTS_FIRST = (
    Owner, Agreement, Site, ExhaustSystem, CookingPeriod, OperatingPeriod, ClosedDay,
    ExpectedCleaning, Fan, Machine, Feed,
)  # fmt: skip
_OF_SYSTEM = (CookingPeriod, OperatingPeriod, ClosedDay, ExpectedCleaning)


def store(plan: Plan, by: Person | None, now: datetime, why: str) -> list[int]:
    """Write the plan inside the caller's transaction; the ids of all fans it touches, sorted."""
    for model in PARENTS_FIRST:
        changed = list(plan.changed.get(model, {}).values())
        # changed before added: a machine gone makes room for the one that replaced it
        if changed:
            update_all(model, changed, sorted(plan.fields[model]), by, now, why)
        if added := plan.added.get(model):
            create_all(model, added, by, now, why)
    return _touched(plan)


def _touched(plan: Plan) -> list[int]:
    """Fans of the file's own rows, and all that share what was changed around them."""
    own = {fan.pk for fan in _rows(plan, Fan)}
    own |= {row.fan_id for model in (Machine, Feed) for row in _rows(plan, model)}
    systems = {system.pk for system in _changed(plan, ExhaustSystem)}
    systems |= {row.system_id for model in _OF_SYSTEM for row in _rows(plan, model)}
    # every fan of a new system stands in the file itself
    systems -= {system.pk for system in plan.added.get(ExhaustSystem, ())}
    sites = {site.pk for site in _changed(plan, Site)}
    owners = {row.owner_id for row in _rows(plan, Agreement)}
    for field, ids in (("system", systems), ("site", sites), ("site__owner", owners)):
        own.update(fan.pk for fan in rows_in(Fan.objects.only("pk"), field, ids))
    return sorted(own)


def _rows(plan: Plan, model: type[Model]) -> Iterable[Any]:
    return (*plan.added.get(model, ()), *_changed(plan, model))


def _changed(plan: Plan, model: type[Model]) -> Iterable[Any]:
    return plan.changed.get(model, {}).values()
