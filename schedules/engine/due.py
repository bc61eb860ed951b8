"""When each fan is due and by which rule: all rules over a block of fans, or over one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from schedules.engine import walk_through
from schedules.engine.calendar_hours import HoursTable
from schedules.engine.history import fold_record
from schedules.engine.hours import GREASED
from schedules.engine.parameters import DueParams
from schedules.engine.placing import Placing
from schedules.engine.record import Calendar, FanRecord, Reckoned, RuleDate
from schedules.engine.rule import FAR, SILENT, Columns, Days, Rule, RuleColumns, Shared
from schedules.engine.rules import RULE_MODULES

RULE_NUMBERS = np.array([rule.number for rule in RULE_MODULES], np.int8)
NOTHING_KEPT: Mapping[int, RuleColumns] = MappingProxyType({})
NOT_BEFORE = walk_through.arg_names.index("not_before_day")


@dataclass(frozen=True)
class BlockDates:
    """All dates of N fans.

    rules : each rule's answers, in the order of RULE_MODULES
    due_day, overdue_after_day : int32, shape (N,), the earliest, SILENT where no rule speaks
    due_rule, overdue_rule : int8, shape (N,), rule numbers, 0 where no rule speaks
    not_before_day : int32, shape (N,), SILENT where rule 1 waits for nothing
    worst_verdict : int8, shape (N,), the worst of what is open, by ``VERDICT_ORDER``, 0 for nothing
    """

    rules: tuple[RuleColumns, ...]
    due_day: Days
    due_rule: NDArray[np.int8]
    overdue_after_day: Days
    overdue_rule: NDArray[np.int8]
    not_before_day: Days
    worst_verdict: NDArray[np.int8]


def reckon(
    columns: Columns,
    calendars: Sequence[Calendar],
    calendar_index: NDArray[np.int32],
    params: DueParams,
    hours: HoursTable | None = None,
    kept: Mapping[int, RuleColumns] = NOTHING_KEPT,
) -> BlockDates:
    """Reckon every rule's dates for a block of fans, each as if it were alone.

    columns : rows of one ``history_dtype``, shape (N,)
    calendars : the distinct operating calendars of the block
    calendar_index : int32, shape (N,), which calendar is the fan's, -1 for none
    hours : the table of these calendars, where the caller has it for more than one block
    kept : answers by their place in RULE_MODULES that hold as they were, as ``untouched`` tells
    """
    shared = Shared(
        hours=HoursTable(calendars) if hours is None else hours,
        calendars=calendars,
        calendar_index=calendar_index,
        walk=walk_through.Walks(columns, params),
        place=Placing.of(columns, params),
    )
    answers = tuple(
        kept[place] if place in kept else _hushed(rule.reckon(columns, shared, params))
        for place, rule in enumerate(RULE_MODULES)
    )
    not_before = answers[0].args[:, NOT_BEFORE]
    due_day, due_rule = _first([answer.due_day for answer in answers])
    overdue_day, overdue_rule = _first([answer.overdue_after_day for answer in answers])
    return BlockDates(
        rules=answers,
        due_day=due_day,
        due_rule=due_rule,
        overdue_after_day=overdue_day,
        overdue_rule=overdue_rule,
        not_before_day=np.where(np.isnan(not_before), SILENT, not_before).astype(np.int32),
        worst_verdict=columns["worst_standing"].copy(),
    )


def needs_calendar(columns: Columns) -> NDArray[np.bool_]:
    """Whose dates depend on running hours, shape (N,); the others may go without a calendar."""
    return np.asarray((columns["bearing_kind"] == GREASED) | (columns["belt_day"] != SILENT))


def _hushed(answer: RuleColumns) -> RuleColumns:
    """Take back the evidence where there is no date."""
    silent = answer.due_day == SILENT
    # Where no reason is given either, nothing else was.
    if not np.count_nonzero(silent & (answer.why != 0)):
        return answer
    return RuleColumns(
        due_day=answer.due_day,
        overdue_after_day=np.where(silent, SILENT, answer.overdue_after_day).astype(np.int32),
        why=np.where(silent, 0, answer.why).astype(np.int8),
        cannot_tell=answer.cannot_tell,
        args=np.where(silent[:, None], np.float32(np.nan), answer.args),
    )


def _first(days: Sequence[Days]) -> tuple[Days, NDArray[np.int8]]:
    """Earliest day and its rule; of equal days the lower rule number."""
    by_rule = np.array(days).T
    index = np.where(by_rule == SILENT, FAR, by_rule).argmin(axis=1)
    day = by_rule[np.arange(len(by_rule)), index]
    return day, np.where(day == SILENT, 0, RULE_NUMBERS[index]).astype(np.int8)


def reckon_one(record: FanRecord, params: DueParams | None = None) -> Reckoned:
    """Reckon a fan alone, through the very same path as a block.

    Raises HistoryOverflowError if its live facts exceed the widest history.
    """
    settings = params or DueParams()
    calendars = () if record.calendar is None else (record.calendar,)
    index = np.array([len(calendars) - 1], np.int32)
    return told(reckon(fold_record(record, settings), calendars, index, settings), 0)


def told(block: BlockDates, row: int) -> Reckoned:
    """Give one fan's dates out of a block by name, earliest first."""
    answers = list(zip(RULE_MODULES, block.rules, strict=True))
    dates = [_date(rule, answer, row) for rule, answer in answers if answer.due_day[row] != SILENT]
    codes = ((rule, answer.cannot_tell[row]) for rule, answer in answers)
    not_before = int(block.not_before_day[row])
    return Reckoned(
        dates=tuple(sorted(dates, key=lambda date: (date.due_day, date.rule))),
        cannot_tell=tuple(rule.cannot_tells[code] for rule, code in codes if code),
        not_before_day=None if not_before == SILENT else not_before,
    )


def _date(rule: Rule, answer: RuleColumns, row: int) -> RuleDate:
    numbers = zip(rule.arg_names, answer.args[row].tolist(), strict=True)
    return RuleDate(
        rule=rule.number,
        due_day=int(answer.due_day[row]),
        overdue_after_day=int(answer.overdue_after_day[row]),
        why=rule.whys[answer.why[row]],
        args={name: value for name, value in numbers if value == value},
    )
