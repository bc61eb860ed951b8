"""What every rule of the engine looks like: fields it keeps, how it folds a record, how it reckons.

A rule lives in one module.  ``fold`` picks from one fan's record the facts that are still alive and
returns them under the names of ``fields``; the fields of all rules side by side are the fixed-width
packed history.  ``reckon`` takes columns of many fans and does all arithmetic; it never loops over
fans.

A rule may have several candidates at once for some fans (three open findings, two storms) and
none for most: they lie side by side in flat arrays beside the number of their fan.  They are placed
by ``Shared.place``, then ``earliest`` takes each fan's earliest due and earliest overdue; the
evidence is that of the earliest due.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from schedules.engine.calendar_hours import HoursTable
from schedules.engine.parameters import DueParams
from schedules.engine.record import Calendar, FanRecord
from schedules.engine.series import Floats

SILENT = 0
"""Day 0 stands for "this rule says nothing"; real days are ordinals far above it."""

FAR = 2**30
"""Sorts after every real day; never leaves this package."""

PLACE_BITS, RANK_BITS = 23, 15
NEVER = np.iinfo(np.int64).max
"""A candidate's day, rank and place go into one number, which sorts as all three would."""

Days = NDArray[np.int32]
Columns = NDArray[np.void]
Fields = tuple[tuple[Any, ...], ...]


class HistoryOverflowError(ValueError):
    """A record has more live facts than the packed history has room for; fold it with more."""


@dataclass(frozen=True)
class RuleColumns:
    """One rule's answers for N fans.

    due_day, overdue_after_day : int32, shape (N,), SILENT where the rule says nothing
    why, cannot_tell : int8, shape (N,), index into the rule's own code lists, 0 for none
    args : float32, shape (N, A), numbers for the sentence, NaN where unused, named by the rule's
        ``arg_names``
    """

    due_day: Days
    overdue_after_day: Days
    why: NDArray[np.int8]
    cannot_tell: NDArray[np.int8]
    args: NDArray[np.float32]

    @staticmethod
    def of(
        first: Earliest, why: NDArray[np.integer[Any]], evidence: Sequence[NDArray[Any]]
    ) -> RuleColumns:
        """What counts of C candidates, with why and evidence of each: arrays of shape (C,)."""
        fans = len(first.due_day)
        whys, args = np.zeros(fans, np.int8), np.full((fans, len(evidence)), np.nan, np.float32)
        whys[first.fan] = why[first.which]
        args[first.fan] = side_by_side(*evidence)[first.which]
        return RuleColumns(first.due_day, first.overdue_day, whys, np.zeros(fans, np.int8), args)


class Place(Protocol):
    """Moves candidate dates past time out of service, then not before the onboarding day.

    All arrays are of shape (C,), the candidates of the fans that ``fan`` numbers; without it there
    is one for every fan of the block.  ``fact_day`` is the day of the last fact a date was computed
    from, None if time out of service does not touch this rule; ``stop`` marks dates of a stop,
    which onboarding never holds back.  SILENT stays SILENT.
    """

    def __call__(
        self,
        due_day: Days,
        overdue_day: Days,
        fact_day: Days | None,
        stop: NDArray[np.bool_] | None = None,
        fan: NDArray[np.intp] | None = None,
    ) -> tuple[Days, Days]: ...


class Walk(Protocol):
    """Rule 1 as other rules reckon with it, worked out once somebody asks; N fans in the block."""

    @property
    def months(self) -> tuple[Floats, Floats]:
        """Base and interval [months], float64 (N,) each."""

    @property
    def due_day(self) -> Days:
        """Due days before anything moved them, int32 (N,)."""

    @property
    def last_day(self) -> Days:
        """Last completed walk-throughs, int32 (N,), SILENT where there is none."""


@dataclass(frozen=True)
class Shared:
    """What rules may know of each other and of the block.

    ``hours`` counts running hours by the distinct calendars of the block; ``calendars`` are these,
    and ``calendar_index`` int32 (N,) points into them (-1 for none).
    """

    hours: HoursTable
    calendars: Sequence[Calendar]
    calendar_index: NDArray[np.int32]
    walk: Walk
    place: Place


class Rule(Protocol):
    """A rule's module-level face; the modules themselves satisfy it.

    ``fields(room)`` are dtype entries; a field that holds K live facts has room x K places.
    ``fold`` gives a number per plain field and a sequence of at most its length per wide one (the
    rest is filled with the dtype's zero), and raises HistoryOverflowError where that is too little.
    """

    @property
    def number(self) -> int:
        """As in the stored answers and in sentences."""

    @property
    def whys(self) -> Sequence[str]:
        """Codes of the reasons for a date; the first stands for no date."""

    @property
    def cannot_tells(self) -> Sequence[str]:
        """Codes of what is missing where the rule cannot tell; the first stands for nothing."""

    @property
    def arg_names(self) -> Sequence[str]:
        """Names of the numbers beside a date, in the order of ``args``."""

    def fields(self, room: int) -> Fields:
        """The dtype entries of its part of the packed history."""

    def fold(self, record: FanRecord, params: DueParams) -> Mapping[str, Any]:
        """What the packed history keeps of one record, by field."""

    def reckon(self, columns: Columns, shared: Shared, params: DueParams) -> RuleColumns:
        """Dates of all N fans of a block from their packed histories."""


@dataclass(frozen=True)
class Earliest:
    """What counts of the candidates of N fans.

    due_day, overdue_day : int32, shape (N,), SILENT where a fan has no date
    fan : the F fans that have one, ascending; which : the candidate of the earliest due of each
    """

    due_day: Days
    overdue_day: Days
    fan: NDArray[np.intp]
    which: NDArray[np.intp]


def silence(fans: int, args: int) -> RuleColumns:
    """The answers of a rule that has nothing to say of any of so many fans."""
    nothing, no_code = np.zeros(fans, np.int32), np.zeros(fans, np.int8)
    return RuleColumns(
        nothing, nothing, no_code, no_code, np.full((fans, args), np.nan, np.float32)
    )


def side_by_side(*columns: NDArray[Any]) -> NDArray[np.float32]:
    """Numbers for a sentence, each of shape (N,), as float32 of shape (N, A)."""
    return np.array(columns, np.float32).T


def earliest(
    fans: int,
    fan: NDArray[np.intp],
    due_day: Days,
    overdue_day: Days,
    rank: NDArray[np.integer[Any]] | None = None,
) -> Earliest:
    """Earliest due and earliest overdue of each of so many fans, out of C candidates.

    fan, due_day, overdue_day : shape (C,); a candidate that is SILENT does not count
    rank : of RANK_BITS, shape (C,)

    Of equal due days the lowest rank is named, of equal ranks the candidate that comes first.
    """
    live = np.flatnonzero(due_day != SILENT)
    named = live if rank is None else live + (rank[live].astype(np.int64) << PLACE_BITS)
    order = named + (due_day[live].astype(np.int64) << PLACE_BITS + RANK_BITS)
    first = np.full(fans, NEVER)
    np.minimum.at(first, fan[live], order)
    dated = np.flatnonzero(first != NEVER)
    which = first[dated] & (1 << PLACE_BITS) - 1
    due, overdue = np.zeros(fans, np.int32), np.full(fans, FAR, np.int32)
    due[dated] = due_day[which]
    np.minimum.at(overdue, fan[live], overdue_day[live])
    overdue[due == SILENT] = SILENT
    return Earliest(due, overdue, dated, which)
