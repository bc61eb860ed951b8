"""What the engine refuses to reckon with.

EngineError (a ValueError)
    SeriesError     numbers that are no series: shapes that differ, infinities, times out of order
    ParameterError  a setting outside its interval, or one nobody knows
    CalendarError   opening hours that overlap, end before they begin, or name no time zone
    ProblemError    sites, fans, technicians and ways that make no week to plan

Missing values are none of these: they give NaN, "cannot tell".
"""

from __future__ import annotations


class EngineError(ValueError):
    """Input from which nothing can be reckoned; the text says what, the value seen, what to do."""


class SeriesError(EngineError):
    """Arrays that do not make a series."""


class ParameterError(EngineError):
    """A setting outside the interval in which it means something."""


class CalendarError(EngineError):
    """Opening hours from which no running hours follow."""


class ProblemError(EngineError):
    """A week that cannot be planned as it was put."""
