"""Volts and full-load amperes as a motor's plate prints them: parsed, paired, one end chosen."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from functools import lru_cache
from itertools import pairwise

from fleet.refusals import N_, ToldError

PLAUSIBLE_VOLTS = (12.0, 1000.0)
PLAUSIBLE_AMPERES = (0.01, 500.0)


class Unreadable(Enum):
    """The one value standing for a part of the plate that was looked at and could not be read."""

    UNREADABLE = "?"


UNREADABLE = Unreadable.UNREADABLE
Part = float | Unreadable | None
"""A number on the plate, a part that could not be read, or None: never recorded."""


class PlateError(ToldError):
    """A rating that cannot be what a plate says; the text names the value seen and the remedy."""


@dataclass(frozen=True, slots=True)
class Rating:
    """One way to connect the motor: ``230`` has equal ends, ``208-230`` a low and a high one."""

    low_v: Part
    high_v: Part
    low_a: Part = None
    high_a: Part = None

    def __post_init__(self) -> None:
        # Readers tell numbers from the rest by their type: an int must not slip through.
        for name in ("low_v", "high_v", "low_a", "high_a"):
            value = getattr(self, name)
            if isinstance(value, int):
                object.__setattr__(self, name, float(value))

    @property
    def ends(self) -> tuple[float, float] | None:
        """Low and high volts where both can be read."""
        if isinstance(self.low_v, float) and isinstance(self.high_v, float):
            return self.low_v, self.high_v
        return None

    @property
    def pairs(self) -> tuple[tuple[float, float], ...]:
        """Volts with their amperes at each end where both can be read."""
        ends = ((self.low_v, self.low_a), (self.high_v, self.high_a))
        return tuple((v, a) for v, a in ends if isinstance(v, float) and isinstance(a, float))


def parse_ratings(volts: str, amps: str = "") -> tuple[Rating, ...]:
    """Volts and full-load amperes of a plate as pairs, in the order printed.

    ``/`` separates ways to connect, ``-`` the two ends of a range, ``?`` stands for a part nobody
    could read.  Amperes go with volts group by group (``208-230/460`` with ``3.3-3.2/1.6``), one
    ampere value serving both ends of a range, or value by value.  No volts gives no ratings.

    Raises PlateError for text that is no rating, for counts that do not pair, and for a much
    higher voltage that does not draw less current.
    """
    return _parsed(volts.strip(), amps.strip())


@lru_cache(maxsize=4096)
def _parsed(volts: str, amps: str) -> tuple[Rating, ...]:
    currents = _groups(amps, "amperes", PLAUSIBLE_AMPERES)
    groups = _groups(volts, "volts", PLAUSIBLE_VOLTS) or [[None] * len(group) for group in currents]
    paired = _paired(groups, currents, volts, amps)
    ratings = tuple(_rating(*pair) for pair in zip(groups, paired, strict=True))
    _refuse_swapped(ratings, volts, amps)
    return ratings


_UNIT_LETTERS = re.compile(r"(?i)\b(volts?|vac|v|amperes?|amps?|a|fla)\b|(?<=\d)(vac|v|amps?|a)\b")
_RANGE = re.compile(r"\s*(?:-|–|\bto\b)\s*")
_NUMBER = re.compile(r"\d+(?:\.\d+)?|\.\d+")


_WRITE_AS = N_("write as in %(example)s")
_EXAMPLES = {"volts": "208-230/460", "amperes": "3.3-3.2/1.6"}


def _groups(text: str, what: str, plausible: tuple[float, float]) -> list[list[Part]]:
    if not text:
        return []
    told = {"text": repr(text), "example": _EXAMPLES[what]}
    bare = _UNIT_LETTERS.sub(" ", text)
    groups = [[end.strip() for end in _RANGE.split(group.strip())] for group in bare.split("/")]
    if any(len(group) > 1 and not all(group) for group in groups):
        raise PlateError(N_("%(text)s begins or ends with a dash"), _WRITE_AS, told)
    if any(len(group) > 2 for group in groups):
        raise PlateError(N_("%(text)s has more than two ends in a range"), _WRITE_AS, told)
    return [[_part(end, text, what, plausible) for end in group] for group in groups]


def _part(text: str, whole: str, what: str, plausible: tuple[float, float]) -> Part:
    if text == UNREADABLE.value:
        return UNREADABLE
    told = {"whole": repr(whole), "text": repr(text), "example": _EXAMPLES[what]}
    if "," in text:
        raise PlateError(
            N_("%(whole)s is not a plate rating: %(text)s has a comma"),
            N_("write decimals with a point and ways to connect parted by /, as in %(example)s"),
            told,
        )
    if not _NUMBER.fullmatch(text):
        raise PlateError(
            N_("%(whole)s is not a plate rating: %(text)s is no number"),
            N_("write as on the plate, for example %(example)s, with ? for what cannot be read"),
            told,
        )
    low, high = plausible
    if not low <= float(text) <= high:
        told |= {"text": text, "low": f"{low:g}", "high": f"{high:g}"}
        problem = N_("in %(whole)s, %(text)s is outside %(low)s to %(high)s")
        raise PlateError(problem, N_("check the plate"), told)
    return float(text)


def _paired(
    volts: list[list[Part]], amps: list[list[Part]], volts_text: str, amps_text: str
) -> list[list[Part]]:
    """The amperes of each voltage group: by group where counts agree, else value by value."""
    if not amps:
        return [[] for _ in volts]
    if len(amps) == len(volts) and all(len(a) <= len(v) for v, a in zip(volts, amps, strict=True)):
        return amps
    flat = [value for group in amps for value in group]
    if len(flat) == sum(len(group) for group in volts):
        values = iter(flat)
        return [[next(values) for _ in group] for group in volts]
    raise PlateError(
        N_("volts %(volts)s and amperes %(amps)s do not pair"),
        N_("give one ampere value for each voltage, with ? for what cannot be read"),
        {"volts": repr(volts_text), "amps": repr(amps_text)},
    )


def _rating(volts: list[Part], amps: list[Part]) -> Rating:
    ends = list(
        zip((volts[0], volts[-1]), (amps[0], amps[-1]) if amps else (None, None), strict=True)
    )
    first, last = ends[0][0], ends[1][0]
    if isinstance(first, float) and isinstance(last, float) and first > last:
        ends.reverse()
    (low_v, low_a), (high_v, high_a) = ends
    return Rating(low_v, high_v, low_a, high_a)


def _refuse_swapped(ratings: tuple[Rating, ...], volts: str, amps: str) -> None:
    known = [
        (rating.low_v, rating.low_a)
        for rating in ratings
        if isinstance(rating.low_v, float) and isinstance(rating.low_a, float)
    ]
    known.sort()
    for (lower_v, lower_a), (higher_v, higher_a) in pairwise(known):
        if higher_v > 1.4 * lower_v and higher_a > 0.85 * lower_a:
            raise PlateError(
                N_(
                    "volts %(volts)s with amperes %(amps)s: %(higher)s V must draw less than "
                    "%(lower)s V"
                ),
                N_("the amperes look swapped or misplaced, check the plate"),
                {
                    "volts": repr(volts), "amps": repr(amps),
                    "higher": f"{higher_v:g}", "lower": f"{lower_v:g}",
                },
            )  # fmt: skip


@dataclass(frozen=True, slots=True)
class FullLoad:
    """The end of a rating that counts: its volts and the full-load amperes printed for it."""

    volts: Part
    amperes: Part


def full_load(rating: Rating, measured_volts: Sequence[float] = ()) -> FullLoad:
    """The end of ``rating`` nearer the mean of ``measured_volts`` [V] and its amperes.

    A tie, or no volts, gives the lower end.
    """
    if measured_volts and rating.ends is not None:
        low, high = rating.ends
        mean = sum(measured_volts) / len(measured_volts)
        if abs(high - mean) < abs(mean - low):
            return FullLoad(high, rating.high_a)
    return FullLoad(rating.low_v, rating.low_a)


def completed(known: str, read: str) -> str:
    """One printed rating from two readings of it: ``208-?/460`` and ``?/460`` are ``208-?/460``.

    Where one could not read a part the other counts; empty where both did and differ.
    """
    if known == "?":
        return read
    parts = known.split("/"), read.split("/")
    if len(parts[0]) != len(parts[1]):
        return ""
    whole = [_completed_part(one, other) for one, other in zip(*parts, strict=True)]
    return "/".join(whole) if all(whole) else ""


def _completed_part(known: str, read: str) -> str:
    if known == "?" or read == "?":
        return read if known == "?" else known
    ends = known.split("-"), read.split("-")
    if len(ends[0]) != len(ends[1]):
        return ""
    whole = [one if other in ("?", one) else other if one == "?" else ""
             for one, other in zip(*ends, strict=True)]  # fmt: skip
    return "-".join(whole) if all(whole) else ""
