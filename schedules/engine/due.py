"""When each fan is due and by which rule: all rules over a block of fans, or over one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from schedules.engine import walk_through
from schedules.engine.calendar_hours import HoursTable
from schedules.engine.history import fold_any
from schedules.engine.parameters import DueParams
from schedules.engine.placing import Placing
from schedules.engine.record import Calendar, FanRecord, Reckoned, RuleDate
from schedules.engine.rule import FAR, SILENT, Columns, Days, Rule, RuleColumns, Shared
from schedules.engine.rules import IN_FORCE

RULE_NUMBERS = np.array([rule.number for rule in IN_FORCE], np.int8)
NOT_BEFORE = walk_through.arg_names.index("not_before_day")


@dataclass(frozen=True)
class BlockResult:
    """All dates of N fans; R rules in the order of ``rules.IN_FORCE``.

    due_days, overdue_days : int32, shape (N, R), SILENT (0) where a rule says nothing
    whys, cannot_tell : int8, shape (N, R), index into that rule's code lists
    args : per rule float32, shape (N, A), named by that rule's ``arg_names``, NaN where unused
    due_day, overdue_day : int32, shape (N,), the earliest, SILENT where no rule speaks
    due_rule, overdue_rule : int8, shape (N,), rule numbers, 0 where no rule speaks
    not_before_day : int32, shape (N,), SILENT where rule 1 waits for nothing
    """

    due_days: Days
    overdue_days: Days
    whys: NDArray[np.int8]
    cannot_tell: NDArray[np.int8]
    args: tuple[NDArray[np.float32], ...]
    due_day: Days
    due_rule: NDArray[np.int8]
    overdue_day: Days
    overdue_rule: NDArray[np.int8]
    not_before_day: Days


def reckon(
    columns: Columns,
    calendars: Sequence[Calendar],
    calendar_index: NDArray[np.int32],
    params: DueParams,
) -> BlockResult:
    """Reckon every rule's dates for a block of fans, each as if it were alone.

    columns : rows of one ``history_dtype``, shape (N,)
    calendars : the distinct operating calendars of the block
    calendar_index : int32, shape (N,), which calendar is the fan's, -1 for none
    """
    shared = Shared(
        hours=HoursTable(calendars),
        calendars=calendars,
        calendar_index=calendar_index,
        walk_due_day=walk_through.unmoved_due(columns, params),
        walk_last_day=columns["walk_last_day"],
        place=Placing(columns, params),
    )
    return _together([_hushed(rule.reckon(columns, shared, params)) for rule in IN_FORCE])


def _hushed(answer: RuleColumns) -> RuleColumns:
    """Take back the evidence where there is no date."""
    silent = answer.due_day == SILENT
    return RuleColumns(
        due_day=answer.due_day,
        overdue_after_day=np.where(silent, SILENT, answer.overdue_after_day).astype(np.int32),
        why=np.where(silent, 0, answer.why).astype(np.int8),
        cannot_tell=answer.cannot_tell,
        args=np.where(silent[:, None], np.float32(np.nan), answer.args),
    )


def _together(answers: Sequence[RuleColumns]) -> BlockResult:
    due_days = np.column_stack([answer.due_day for answer in answers])
    overdue_days = np.column_stack([answer.overdue_after_day for answer in answers])
    due_day, due_rule = _first(due_days)
    overdue_day, overdue_rule = _first(overdue_days)
    return BlockResult(
        due_days=due_days,
        overdue_days=overdue_days,
        whys=np.column_stack([answer.why for answer in answers]),
        cannot_tell=np.column_stack([answer.cannot_tell for answer in answers]),
        args=tuple(answer.args for answer in answers),
        due_day=due_day,
        due_rule=due_rule,
        overdue_day=overdue_day,
        overdue_rule=overdue_rule,
        not_before_day=np.nan_to_num(answers[0].args[:, NOT_BEFORE]).astype(np.int32),
    )


def _first(days: Days) -> tuple[Days, NDArray[np.int8]]:
    """Earliest day and its rule; of equal days the lower rule number."""
    index = np.where(days == SILENT, FAR, days).argmin(axis=1)
    day = days[np.arange(len(days)), index]
    return day, np.where(day == SILENT, 0, RULE_NUMBERS[index]).astype(np.int8)


def reckon_one(record: FanRecord, params: DueParams | None = None) -> Reckoned:
    """Reckon a fan alone, through the very same path as a block.

    Raises HistoryOverflowError if its live facts exceed the widest history.
    """
    settings = params or DueParams()
    calendars = () if record.calendar is None else (record.calendar,)
    index = np.array([len(calendars) - 1], np.int32)
    return told(reckon(fold_any(record, settings), calendars, index, settings), 0)


def told(block: BlockResult, row: int) -> Reckoned:
    """Give one fan's dates out of a block by name, earliest first."""
    dates = [
        _date(block, row, place, rule)
        for place, rule in enumerate(IN_FORCE)
        if block.due_days[row, place] != SILENT
    ]
    codes = zip(IN_FORCE, block.cannot_tell[row], strict=True)
    not_before = int(block.not_before_day[row])
    return Reckoned(
        dates=tuple(sorted(dates, key=lambda date: (date.due_day, date.rule))),
        cannot_tell=tuple(rule.cannot_tells[code] for rule, code in codes if code),
        not_before_day=None if not_before == SILENT else not_before,
    )


def _date(block: BlockResult, row: int, place: int, rule: Rule) -> RuleDate:
    numbers = zip(rule.arg_names, block.args[place][row].tolist(), strict=True)
    return RuleDate(
        rule=rule.number,
        due_day=int(block.due_days[row, place]),
        overdue_after_day=int(block.overdue_days[row, place]),
        why=rule.whys[block.whys[row, place]],
        args={name: value for name, value in numbers if value == value},
    )
