"""When to come back and who goes: pure rules over plain columns, no clock, no database."""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from schedules.engine.bearings import regrease_interval_h as regrease_interval_h
from schedules.engine.calendar_hours import running_hours as running_hours
from schedules.engine.grease_line import grease_crossing as grease_crossing
from schedules.engine.lines import straight_line as straight_line
from schedules.engine.months import next_inspection_day as next_inspection_day
from schedules.engine.ranks import mann_kendall as mann_kendall
from schedules.engine.rounds.travel import great_circle_m as great_circle_m
from schedules.engine.slopes import theil_sen as theil_sen

if TYPE_CHECKING:
    from schedules.engine.rounds.planning import plan_rounds as plan_rounds


def __getattr__(name: str) -> Any:
    # Planning brings a solver with it that processes answering web pages do without.
    if name == "plan_rounds":
        return import_module("schedules.engine.rounds.planning").plan_rounds
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
