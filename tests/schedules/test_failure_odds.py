"""Losses of function on record and the date they give: told, corrected, late, of any machine."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from schedules.due.answers import read_answer
from schedules.due.reckoning import reckon_fleet
from schedules.due.records import fan_records
from schedules.engine.record import FanRecord
from schedules.models import DueState
from schedules.services import log_visit
from tests.visits.roofs import NOW, WITHIN, check, make_roof, visit

pytestmark = pytest.mark.django_db


def lost(failed_on: str = "", item: str = "motor", **parts: Any) -> dict[str, Any]:
    """A finding that the fan lost its function."""
    told = {"fan": "EF-1", "item": item, "severity": "critical", "loss_of_function": True, **parts}
    return {**told, "failed_on": failed_on} if failed_on else told


def walked(on: str, *losses: dict[str, Any], **parts: Any) -> dict[str, Any]:
    """A walk-through of EF-1 at which such findings were written down, logged; its payload."""
    payload = visit(check(seen=WITHIN), on=f"{on}T09:10", findings=list(losses), **parts)
    log_visit(payload=payload, by=None, now=NOW)
    return payload


def record() -> FanRecord:
    (_, build), *_ = fan_records(sorted(DueState.objects.values_list("fan", flat=True)))
    return build()


def told() -> dict[int, tuple[int, int]]:
    """Due and overdue day of EF-1 by rule, which reckoning from the record leaves as they are."""
    before = list(DueState.objects.order_by("fan").values_list("dates", flat=True))
    reckon_fleet(now=NOW)  # the other fan, of which no visit told
    assert reckon_fleet(now=NOW, only_stale=False, from_truth=True).changed == 0
    dates, _ = read_answer(before[0])
    return {each.rule: (each.due_day, each.overdue_after_day) for each in dates}


def days_told() -> list[str]:
    return [date.fromordinal(day).isoformat() for day in record().failed_days]


def test_losses_when_logged_then_a_date_from_the_second_day_on() -> None:
    make_roof()
    walked("2026-02-02", lost(), lost(item="belt"))
    assert 8 not in told()
    walked("2026-03-02", lost("2026-02-27"))
    assert told()[8] == told()[1]


def test_loss_when_heard_of_long_after_then_counts_from_its_own_day() -> None:
    make_roof()
    walked("2026-05-04", lost("2025-11-03"), lost("2026-01-12"))
    assert (days_told(), 8 in told()) == (["2025-11-03", "2026-01-12"], True)


def test_loss_when_corrected_away_then_its_date_goes_and_comes_back_with_it() -> None:
    make_roof()
    walked("2026-02-02", lost())
    first = walked("2026-03-02")
    without = told()
    why = {"correction_reason": "typed wrong"}
    second = walked("2026-03-02", lost("2026-03-01"), supersedes=first["id"], **why)
    assert 8 in told()
    walked("2026-03-02", supersedes=second["id"], **why)
    assert told() == without


def test_call_back_then_no_new_loss_even_where_the_repair_is_told_afterwards() -> None:
    make_roof()
    walked("2026-02-02", lost())
    walked("2026-03-02", lost("2026-03-01"))
    assert 8 in told()
    repaired = [{"fan": "EF-1", "kind": "repaired", "item": "motor"}]
    walked("2026-02-10", actions=repaired)
    assert (days_told(), 8 in told()) == (["2026-02-02"], False)


def test_machine_when_replaced_twice_then_the_position_keeps_its_losses() -> None:
    make_roof()
    for on, serial in (("2026-02-02", "B2"), ("2026-03-02", "C3")):
        machine = {"drive": "direct", "serial": serial}
        new = [{"fan": "EF-1", "kind": "replaced", "item": "machine", "machine": machine}]
        walked(on, lost(), actions=new)
    walked("2026-04-01")
    assert (len(record().machines), len(days_told()), 8 in told()) == (3, 2, True)
