"""Readings as typed, what a qualifier leaves open, and the bands a value can fall into.

What is made of every reading is a named tuple: a frozen dataclass takes thrice as long to make.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import NamedTuple

from fleet.units import convert

NEARLY = 1e-9
"""Relative: 0.9 x 208 is 187.2 on paper and a hair more in binary."""


class Reading(NamedTuple):
    """One reading as typed: a number with its unit and qualifier, or the code of a seen state.

    An empty ``unit`` is the registry's own.  ``qualifier`` is one of
    ``fleet.quantities.QUALIFIERS``; over range may come without a value.
    """

    value: float | str | None
    unit: str = ""
    qualifier: str = ""


class Span(NamedTuple):
    """All values a reading allows: one exact value, or an open interval; in ``unit``."""

    low: float
    high: float
    unit: str
    typed: float | None
    qualifier: str = ""

    @property
    def is_exact(self) -> bool:
        return self.low == self.high

    @property
    def is_open_circuit(self) -> bool:
        """An ohm-meter that shows over range has found no path."""
        return self.qualifier == "over"

    def to(self, unit: str) -> Span:
        """The same reading in another unit."""
        if unit == self.unit:
            return self
        ends = [
            end if abs(end) == inf else convert(end, self.unit, unit)
            for end in (self.low, self.high)
        ]
        typed = None if self.typed is None else convert(self.typed, self.unit, unit)
        return Span(ends[0], ends[1], unit, typed, self.qualifier)

    def times(self, ratio: float) -> Span:
        """The same reading scaled by a positive ``ratio``."""
        return Span(self.low * ratio, self.high * ratio, self.unit, self.typed, self.qualifier)


def span(value: float | None, unit: str, qualifier: str) -> Span:
    """What a reading of a quantity that is never negative allows; an unstable one says nothing."""
    if not qualifier and value is not None:
        return Span(value, value, unit, value)
    low, high = 0.0, inf
    if qualifier in (">", "over") and value is not None:
        low = value
    elif qualifier == "<" and value is not None:
        high = value
    return Span(low, high, unit, value, qualifier)


@dataclass(frozen=True, slots=True)
class Bands:
    """Rising ``cuts`` and the code of each band between them.

    ``ends_below[i]`` tells whether a value exactly at cut i belongs to the band below it.
    """

    cuts: tuple[float, ...]
    ends_below: tuple[bool, ...]
    codes: tuple[str, ...]

    def place(self, reading: Span) -> int | None:
        """Index of the band every allowed value falls into, or None where they differ."""
        if reading.is_exact:
            return self._of(reading.low)
        first = sum(not _below(reading.low, cut) for cut in self.cuts)
        last = sum(reading.high > cut + abs(cut) * NEARLY for cut in self.cuts)
        return first if first == last else None

    def _of(self, value: float) -> int:
        for index, cut in enumerate(self.cuts):
            slack = abs(cut) * NEARLY
            if value < cut - slack or (self.ends_below[index] and value <= cut + slack):
                return index
        return len(self.cuts)


def _below(value: float, cut: float) -> bool:
    return value < cut - abs(cut) * NEARLY


def up_to(cuts: tuple[float, ...], *codes: str) -> Bands:
    """Bands whose upper ends belong to them: ``<= 1, <= 2, <= 5, > 5``."""
    return Bands(cuts, (True,) * len(cuts), codes)


def from_(cuts: tuple[float, ...], *codes: str) -> Bands:
    """Bands whose lower ends belong to them: ``< start, < alarm, >= alarm``."""
    return Bands(cuts, (False,) * len(cuts), codes)
