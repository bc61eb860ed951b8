"""All rules together: properties that hold for any fan, alone or among thousands."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleet.quantities import LOOK_LISTS
from schedules.engine.due import BlockDates, reckon, reckon_one, told
from schedules.engine.history import fold
from schedules.engine.parameters import DueParams
from schedules.engine.record import Calendar, FanRecord, Inspection, Look, Noted, Reckoned
from tests.engine.fans import day, fan, rule_date, walk
from tests.oracle.random_records import random_record

PARAMS = DueParams()
WIDE = 16
records = st.integers(0, 2**32).map(lambda seed: random_record(Random(seed)))
many = settings(max_examples=150, deadline=None)


def _block(fans: list[FanRecord]) -> BlockDates:
    calendars: list[Calendar] = []
    index = np.full(len(fans), -1, np.int32)
    for place, record in enumerate(fans):
        if record.calendar is not None:
            index[place] = len(calendars)
            calendars.append(record.calendar)
    rows = np.concatenate([fold(record, PARAMS, WIDE) for record in fans])
    return reckon(rows, calendars, index, PARAMS)


@settings(max_examples=20, deadline=None)
@given(st.lists(records, min_size=2, max_size=20))
def test_fans_when_reckoned_together_then_as_if_alone(fans: list[FanRecord]) -> None:
    block = _block(fans)
    assert [told(block, row) for row in range(len(fans))] == [reckon_one(f) for f in fans]


@many
@given(records)
def test_rule_when_it_speaks_then_overdue_never_precedes_due(record: FanRecord) -> None:
    dates = reckon_one(record).dates
    assert all(date.overdue_after_day >= date.due_day for date in dates)


@many
@given(records)
def test_record_when_told_again_then_same_answer(record: FanRecord) -> None:
    assert reckon_one(replace(record)) == reckon_one(record)


def _with_last_verdict(record: FanRecord, subject: str, verdict: str) -> FanRecord:
    """The record with one more as-found sight of a subject, a month after everything else."""
    last = max([record.entered_day, *(look.day for look in record.looks)]) + 30
    look = Look(last, verdicts={subject: verdict}, machine=len(record.machines) - 1)
    return replace(record, looks=(*record.looks, look))


def _due(answer: Reckoned, rule: int) -> float:
    return min((date.due_day for date in answer.dates if date.rule == rule), default=float("inf"))


@many
@given(records, st.sampled_from(["hinge", "wheel", "volts", "guard", "capacitor_case"]))
def test_finding_when_last_verdict_is_worse_then_never_due_later(
    record: FanRecord, subject: str
) -> None:
    dues = [
        _due(reckon_one(_with_last_verdict(record, subject, verdict)), 6)
        for verdict in ("within", "watch", "act", "stop")
    ]
    assert dues == sorted(dues, reverse=True)


@many
@given(records)
def test_follow_up_and_event_when_all_is_seen_well_then_settled(record: FanRecord) -> None:
    answer = reckon_one(_seen_well(record))
    assert {6, 7}.isdisjoint(date.rule for date in answer.dates)


def _seen_well(record: FanRecord) -> FanRecord:
    """A full look at everything a year after the last fact, while nothing is out of service."""
    facts = (*record.looks, *record.actions, *record.noted, *record.decisions, *record.machines)
    ends = [fact.since_day if hasattr(fact, "since_day") else fact.day for fact in facts]
    ends += [event.end_day for event in record.events]
    subjects = {subject for look in record.looks for subject in look.verdicts}
    subjects |= {note.subject or note.item for note in record.noted}
    look = Look(
        max(ends, default=record.entered_day) + 365,
        answered=frozenset(entry for entries in LOOK_LISTS.values() for entry in entries),
        verdicts=dict.fromkeys(subjects, "within"),
        machine=len(record.machines) - 1,
    )
    noted = tuple(replace(note, closed_day=None) for note in record.noted)
    return replace(record, looks=(*record.looks, look), noted=noted, out_of_service=())


def test_due_when_two_rules_share_the_day_then_the_lower_number_is_named() -> None:
    looks = (walk("2025-01-31"),)
    inspections = (Inspection(day("2024-12-31"), True),)
    answer = reckon_one(fan(looks=looks, inspections=inspections))
    assert answer.due is not None
    assert (answer.due.rule, answer.due.due_day) == (1, day("2025-03-31"))


def test_overdue_when_another_rule_comes_first_then_it_is_named() -> None:
    looks = (walk("2025-01-31"),)
    inspections = (Inspection(day("2025-01-01"), True),)
    block = _block([fan(looks=looks, inspections=inspections)])
    assert (block.due_rule[0], block.overdue_rule[0]) == (1, 2)


@pytest.mark.parametrize(
    ("subject", "verdict", "worst"),
    [("hinge", "within", 0), ("hinge", "watch", 2), ("hinge", "stop", 4), ("vibration", "act", 3)],
)
def test_worst_verdict_when_something_is_open_then_its_verdict(
    subject: str, verdict: str, worst: int
) -> None:
    block = _block([fan(looks=(walk("2025-01-31", verdicts={subject: verdict}),))])
    assert block.worst_verdict[0] == worst


def test_evidence_when_rule_speaks_then_named_numbers() -> None:
    note = Noted("hinge", "hinge", "act", day("2025-01-31"))
    found = rule_date(fan(noted=(note,)), 6)
    assert found is not None
    assert (found.why, found.args["seen_day"], found.args["verdict"]) == (
        "open", day("2025-01-31"), 3,
    )  # fmt: skip
