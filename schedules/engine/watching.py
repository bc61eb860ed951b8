"""Since when a fan is under watch: regular looking, not one look of long ago."""

from __future__ import annotations

from collections.abc import Iterable

LONGEST_SILENCE_DAYS = 1826
"""Five years, our choice: who comes at all comes sooner, if only because the fan failed."""


def watch_begins(entered_day: int, seen: Iterable[int], failed: Iterable[int] = ()) -> int:
    """The day [ordinal] from which a failure would have been told of.

    entered_day : when the fan came on record; seen : days of looks, visits and findings; failed :
        days of losses of function, each of which is counted and so brings its time along

    What lies before the last silence of more than ``LONGEST_SILENCE_DAYS`` is left out: a visit of
    2001 before records of 2024 shows no watch over the years between, nor may a mistyped year.
    """
    begins = entered_day
    for day in sorted(seen, reverse=True):
        if begins - day > LONGEST_SILENCE_DAYS:
            break
        begins = min(begins, day)
    return min([begins, *failed])
