"""What every rule of the engine looks like: fields it keeps, how it folds a record, how it reckons.

A rule lives in one module.  ``fold`` picks from one fan's record the facts that are still alive and
returns them under the names of ``fields``; the fields of all rules side by side are the fixed-width
packed history.  ``reckon`` takes columns of many fans and does all arithmetic; it never loops over
fans.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from schedules.engine.parameters import DueParams
from schedules.engine.record import Calendar, FanRecord

SILENT = 0
"""Day 0 stands for "this rule says nothing"; real days are ordinals far above it."""

Days = NDArray[np.int32]


class HistoryOverflow(ValueError):
    """A record has more live facts than the packed history has room for; reckon it from the tables."""


@dataclass(frozen=True)
class RuleColumns:
    """One rule's answers for N fans.

    due_day, overdue_after_day : int32, shape (N,), SILENT where the rule says nothing
    why, cannot_tell : int8, shape (N,), index into the rule's own code lists, 0 for none
    args : float32, shape (N, A), numbers for the sentence, NaN where unused, named by the rule's ``arg_names``
    """

    due_day: Days
    overdue_after_day: Days
    why: NDArray[np.int8]
    cannot_tell: NDArray[np.int8]
    args: NDArray[np.float32]


@dataclass(frozen=True)
class Shared:
    """What rules may know of each other and of the block.

    ``calendars`` are the distinct ones of the block, ``calendar_index`` int32 (N,) points into them
    (-1 for none); ``walk_due_day`` and ``walk_last_day`` are rule 1's unmoved due and last
    completed walk-through, int32 (N,).
    """

    calendars: Sequence[Calendar]
    calendar_index: NDArray[np.int32]
    walk_due_day: Days
    walk_last_day: Days


class Rule(Protocol):
    """A rule's module-level face; the modules themselves satisfy it."""

    number: int
    fields: Sequence[tuple[Any, ...]]
    whys: Sequence[str]
    cannot_tells: Sequence[str]
    arg_names: Sequence[str]

    def fold(self, record: FanRecord, params: DueParams) -> Mapping[str, Any]: ...

    def reckon(self, columns: NDArray[np.void], shared: Shared, params: DueParams) -> RuleColumns: ...
