"""When to come back and who goes: pure rules over plain columns, no clock, no database."""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from schedules.engine.bearings import regrease_interval_h as regrease_interval_h
from schedules.engine.calendar_hours import running_hours as running_hours
from schedules.engine.failures.cumulative import (
    mean_cumulative_function as mean_cumulative_function,
)
from schedules.engine.failures.rates import compare_rates as compare_rates
from schedules.engine.failures.rates import mtbf_interval as mtbf_interval
from schedules.engine.failures.rates import rate_interval as rate_interval
from schedules.engine.failures.trends import laplace as laplace
from schedules.engine.failures.trends import power_law as power_law
from schedules.engine.grease_line import grease_crossing as grease_crossing
from schedules.engine.lines import straight_line as straight_line
from schedules.engine.months import next_inspection_day as next_inspection_day
from schedules.engine.ranks import mann_kendall as mann_kendall
from schedules.engine.rounds.travel import great_circle_m as great_circle_m
from schedules.engine.slopes import theil_sen as theil_sen

if TYPE_CHECKING:
    from schedules.engine.failures.lifetimes import weibull as weibull
    from schedules.engine.failures.pooling import gamma_poisson as gamma_poisson
    from schedules.engine.failures.replacing import age_replacement as age_replacement
    from schedules.engine.rounds.planning import plan_rounds as plan_rounds

# These bring a solver or an optimiser with them that processes answering web pages do without.
_BY_NAME = {
    "age_replacement": "failures.replacing",
    "gamma_poisson": "failures.pooling",
    "plan_rounds": "rounds.planning",
    "weibull": "failures.lifetimes",
}


def __getattr__(name: str) -> Any:
    if name in _BY_NAME:
        return getattr(import_module(f"schedules.engine.{_BY_NAME[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
