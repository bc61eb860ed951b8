"""Judging one check: its readings against plate, feed and limits, row by row of the rules."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from fleet.plates import Feed, Plate
from visits.limits.case import Case, Context, Given, lay_out
from visits.limits.current import amps_row, phases_rows
from visits.limits.judgement import Judgement
from visits.limits.mechanical import belt_row, grease_rows, sheave_row, vibration_rows
from visits.limits.parameters import DEFAULT_LIMITS, Limits
from visits.limits.protection import breaker_row, overload_rows
from visits.limits.resistance import capacitor_row, insulation_row, poles_row, winding_row
from visits.limits.seen import seen_rows
from visits.limits.supply import temperature_difference_row, volts_row, volts_unbalance_row

ROWS: tuple[Callable[[Case], Iterator[Judgement]], ...] = (
    volts_row,
    volts_unbalance_row,
    phases_rows,
    amps_row,
    overload_rows,
    breaker_row,
    winding_row,
    insulation_row,
    poles_row,
    capacitor_row,
    vibration_rows,
    grease_rows,
    temperature_difference_row,
    belt_row,
    sheave_row,
    seen_rows,
)
NO_CONTEXT = Context()


def judge(
    readings: Mapping[str, Given],
    *,
    plate: Plate,
    feed: Feed,
    context: Context = NO_CONTEXT,
    limits: Limits = DEFAULT_LIMITS,
) -> list[Judgement]:
    """What the readings of one check mean, a judgement for each thing judged.

    ``readings`` maps registry names (``fleet.quantities.QUANTITIES``) to what was typed: a
    ``Reading``, a bare number in the registry's unit, or the code of a seen state.  What was not
    read gives nothing; what was read but cannot be judged gives *cannot judge* with its reason, as
    does a reading not asked of this motor.  Raises KeyError for a name or state nobody registered.
    """
    case = lay_out(readings, plate, feed, context, limits)
    judged = [judgement for row in ROWS for judgement in row(case)]
    return judged + case.refused
