"""Which end of which rating a motor runs on, by the mean of the lines read; pure."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise, product
from math import nextafter, sqrt

from fleet.plates import SUGGESTION_REACH, Feed, Plate, connected_rating
from fleet.ratings import FullLoad, PlateError, full_load, parse_ratings


@dataclass(frozen=True, slots=True)
class EndByMean:
    """The end that counts where the mean [V] lies above ``low`` and at most at ``high``."""

    end: FullLoad
    low: float | None
    high: float | None


def ends_by_mean(plate: Plate, feed: Feed) -> Iterator[EndByMean]:
    """Every end with the means that name it, rising; means that name none are left out."""
    cuts = _cuts(plate)
    inside = [(low + high) / 2 for low, high in pairwise(cuts)]
    means = [cuts[0] / 2, *inside, cuts[-1] * 2] if cuts else [1.0]
    found = [_end_at(plate, feed, mean) for mean in means]
    low: float | None = None
    for place, cut in enumerate(cuts):
        before, after = found[place], found[place + 1]
        if before == after:
            continue
        # what holds at the cut itself, by its very digits
        high = cut if _end_at(plate, feed, cut) == before else nextafter(cut, 0)
        if before is not None:
            yield EndByMean(before, low, high)
        low = high
    if found[-1] is not None:
        yield EndByMean(found[-1], low, None)


def _end_at(plate: Plate, feed: Feed, mean_v: float) -> FullLoad | None:
    try:
        connected = connected_rating(plate, feed, [mean_v])
    except PlateError:
        return None
    return None if connected is None else full_load(connected.rating, [mean_v])


def _cuts(plate: Plate) -> list[float]:
    """Means [V] at which another end may count, rising; too many do no harm."""
    try:
        printed = parse_ratings(plate.volts, plate.full_load_amps)
    except PlateError:
        return []
    ends = [rating.ends for rating in printed if rating.ends]
    found = {(low + high) / 2 for low, high in ends if low != high}
    found |= {low / SUGGESTION_REACH for low, _ in ends}
    found |= {high * SUGGESTION_REACH for _, high in ends}
    found |= {sqrt(one[1] * other[0]) for one, other in product(ends, ends) if one[1] < other[0]}
    return sorted(found)
