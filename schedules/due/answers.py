"""The stored form of an answer: every rule's dates, reasons and numbers as one fixed-width row."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from schedules.engine.due import BlockDates
from schedules.engine.record import RuleDate
from schedules.engine.rule import SILENT, RuleColumns
from schedules.engine.rules import RULE_MODULES

RULE_COUNT = len(RULE_MODULES)
ARG_COUNT = max(len(rule.arg_names) for rule in RULE_MODULES)
ANSWER = np.dtype(
    [
        # Told in columns of their own as well: what is compared must hold all that is stored.
        ("not_before_day", "<i4"),
        ("worst_verdict", "<i1"),
        ("due_day", "<i4", (RULE_COUNT,)),
        ("overdue_after_day", "<i4", (RULE_COUNT,)),
        ("why", "<i1", (RULE_COUNT,)),
        ("cannot_tell", "<i1", (RULE_COUNT,)),
        ("args", "<f4", (RULE_COUNT, ARG_COUNT)),
    ]
)
BY_RULE = ("due_day", "overdue_after_day", "why", "cannot_tell", "args")


def pack_answers(block: BlockDates) -> NDArray[np.void]:
    """One ANSWER row per fan of the block, shape (N,)."""
    rows = np.zeros(len(block.due_day), ANSWER)
    rows["not_before_day"], rows["worst_verdict"] = block.not_before_day, block.worst_verdict
    numbers = rows["args"]
    numbers[:] = np.nan
    for place, rule in enumerate(block.rules):
        rows["due_day"][:, place] = rule.due_day
        rows["overdue_after_day"][:, place] = rule.overdue_after_day
        rows["why"][:, place] = rule.why
        rows["cannot_tell"][:, place] = rule.cannot_tell
        numbers[:, place, : rule.args.shape[1]] = rule.args
    # One bit pattern for "no number", so that equal answers are equal bytes.
    numbers[np.isnan(numbers)] = np.nan
    return rows


def read_answer(stored: bytes | memoryview | None) -> tuple[list[RuleDate], list[str]]:
    """Every rule's date, earliest first, and the codes of what cannot be told."""
    if not stored or len(stored) != ANSWER.itemsize:
        return [], []
    row = np.frombuffer(stored, ANSWER)[0]
    columns = (row[name].tolist() for name in BY_RULE)
    dates, untold = [], []
    for rule, due, overdue, why, unknown, args in zip(RULE_MODULES, *columns, strict=True):
        if due != SILENT:
            told = zip(rule.arg_names, args, strict=False)
            numbers = {name: value for name, value in told if value == value}
            dates.append(RuleDate(rule.number, due, overdue, rule.whys[why], numbers))
        if unknown:
            untold.append(rule.cannot_tells[unknown])
    return sorted(dates, key=lambda d: (d.due_day, d.rule)), untold


def answer_of(stored: bytes, place: int) -> RuleColumns:
    """What the rule at that place answered one fan, as it was packed."""
    row, args = np.frombuffer(stored, ANSWER), len(RULE_MODULES[place].arg_names)
    columns = (row[name][:, place] for name in BY_RULE)
    due, overdue, why, cannot_tell, numbers = columns
    return RuleColumns(due, overdue, why, cannot_tell, numbers[:, :args])
