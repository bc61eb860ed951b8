"""Parts of a belt drive told of fans that have none by the register: one of the two is wrong."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from datetime import date
from itertools import chain
from typing import Any, NamedTuple
from uuid import UUID

from fleet.failure_terms import BELT_CAUSES, term_of
from fleet.models import Machine
from fleet.plates import has_no_belt
from fleet.quantities import QUANTITIES, is_of_belt
from visits.services.register import FanFacts, Register
from visits.services.rows import Rows

BELT_READINGS = tuple(name for name in QUANTITIES if is_of_belt(name))
NAMING = ("item", "subject", "cause")
"""Fields of findings, actions, advice and of what was not reached, the plainest first."""

Sent = tuple[tuple[str, str], ...]
"""Fields with their values, as cautions tell them."""
Stood = tuple[str, list[Mapping[str, Any]]]
"""A fan's tag and its machines as rows of the register."""


class BeltPart(NamedTuple):
    """What one visit told of a fan's belt."""

    visit: UUID
    on: date
    fan: int
    field: str
    name: str


def beltless_parts(
    rows: Rows, stood: Callable[[Collection[int]], Mapping[int, Stood]]
) -> dict[UUID, Sent]:
    """By visit, what ``rows`` tell of belts of fans that have none; ``stood`` is asked only where
    a belt is told of."""
    told = list(_belt_parts(rows))
    if not told:
        return {}
    fans = stood({each.fan for each in told})
    doubted: dict[UUID, dict[tuple[str, str], None]] = {}
    for each in told:
        tag, machines = fans.get(each.fan, ("", []))
        if had_no_belt(machines, each.on):
            said = doubted.setdefault(each.visit, {})
            said |= dict.fromkeys((("fan", tag), (each.field, each.name)))
    return {visit: tuple(said) for visit, said in doubted.items()}


def had_no_belt(machines: Iterable[Mapping[str, Any]], on: date) -> bool:
    """Whether whatever stood there that day was driven directly; of nothing nobody knows."""
    there = [
        row
        for row in machines
        if (row["installed_on"] is None or row["installed_on"] <= on)
        and (row["removed_on"] is None or row["removed_on"] >= on)
    ]
    return bool(there) and all(has_no_belt(row["drive"], row["unreadable"]) for row in there)


def belt_named(row: object) -> tuple[str, str] | None:
    """The field by which a finding, work or advice names a part of a belt drive, and its value."""
    for field in NAMING:
        value = getattr(row, field, "")
        if is_of_belt(value) if field != "cause" else term_of(value) in BELT_CAUSES:
            return field, value
    return None


def in_doubt(rows: Iterable[Any]) -> frozenset[UUID]:
    """Ids of those findings and advice, with their visits, that are about a belt of a fan without
    one; one statement where any is.  One that only names it as a cause is about something else."""
    told = [row for row in rows if (named := belt_named(row)) and named[0] != "cause"]
    stood = stood_on_record({row.fan_id for row in told}) if told else {}
    return frozenset(
        row.pk
        for row in told
        if had_no_belt(stood.get(row.fan_id, ("", []))[1], row.visit.local_on)
    )


def stood_in(register: Register) -> Callable[[Collection[int]], Mapping[int, Stood]]:
    """Machines as a batch has looked them up."""

    def stood(fan_ids: Collection[int]) -> Mapping[int, Stood]:
        fans: Iterable[FanFacts] = chain.from_iterable(
            site.fans.values() for site in register.by_id.values()
        )
        return {
            fan.id: (fan.tag, [machine.row for machine in fan.machines.values()])
            for fan in fans
            if fan.id in fan_ids
        }

    return stood


def stood_on_record(fan_ids: Collection[int]) -> Mapping[int, Stood]:
    """The same asked of the tables; one statement."""
    columns = ("fan_id", "fan__tag", "installed_on", "removed_on", "drive", "unreadable")
    found: dict[int, Stood] = {}
    for row in Machine.objects.order_by().filter(fan__in=fan_ids).values(*columns):
        found.setdefault(row["fan_id"], (row["fan__tag"], []))[1].append(row)
    return found


def _belt_parts(rows: Rows) -> Iterator[BeltPart]:
    for row in (check.row for check in rows.checks):
        for name in BELT_READINGS:
            if getattr(row, name) is not None or name in row.typed:
                yield _part(row, "reading", name)
    named = chain(rows.findings, rows.actions, rows.recommendations, rows.not_reached)
    for each in named:
        if naming := belt_named(each):
            yield _part(each, *naming)


def _part(row: Any, field: str, name: str) -> BeltPart:
    return BeltPart(row.visit_id, row.visit.local_on, row.fan_id, field, name)
