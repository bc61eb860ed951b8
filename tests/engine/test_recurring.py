"""Items that fail again, against plain loops over scipy's binomial and its own adjustment."""

from __future__ import annotations

from collections import Counter
from datetime import date
from itertools import pairwise

import numpy as np
import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from schedules.engine import power_law
from schedules.engine.errors import SeriesError
from schedules.engine.failures.discovery import false_discovery
from schedules.engine.failures.recurring import Losses, Recurring, recurring
from schedules.engine.failures.trends import course

Told = list[tuple[int, int, int]]
"""Fan, item and day of each loss."""
START = date(2023, 1, 1).toordinal()
# The worked example of Benjamini and Hochberg (1995): fifteen chances, the first four believed
# at 5 %; from memory.
PUBLISHED = (
    0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240, 0.4262,
    0.5719, 0.6528, 0.7590, 1.0,
)  # fmt: skip
chances = st.lists(st.floats(0, 1), min_size=1, max_size=30)


def losses(told: Told) -> Losses:
    columns = np.array(told, np.int64).reshape(-1, 3).T
    return Losses(*columns)


def found(told: Told, years: list[float], kinds: list[int]) -> Recurring:
    return recurring(losses(told), years, kinds)


def test_false_discovery_on_the_published_example_then_four_are_believed() -> None:
    assert np.count_nonzero(false_discovery(PUBLISHED) <= 0.05) == 4


@given(chances)
def test_false_discovery_then_as_scipy_has_it(p: list[float]) -> None:
    assert false_discovery(p) == pytest.approx(stats.false_discovery_control(p))


@given(chances, st.integers(0, 20))
def test_false_discovery_of_more_tests_then_as_if_the_others_were_given(
    p: list[float], more: int
) -> None:
    padded = stats.false_discovery_control([*p, *[1.0] * more])[: len(p)]
    assert false_discovery(p, len(p) + more) == pytest.approx(padded)


@pytest.mark.parametrize("p", [[-0.1], [1.1], [np.nan]])
def test_false_discovery_of_no_chance_then_refused(p: list[float]) -> None:
    with pytest.raises(SeriesError, match="from 0 to 1"):
        false_discovery(p)


def plainly(told: Told, years: list[float], kinds: list[int]) -> dict[tuple[int, int], float]:
    """The adjusted chance of each pair of fan and item, every test made one by one."""
    counts = Counter((fan, item) for fan, item, _ in set(told))
    chance = {}
    for kind in set(kinds):
        fans = [fan for fan, each in enumerate(kinds) if each == kind]
        for item in {item for fan, item in counts if fan in fans}:
            total = sum(counts[fan, item] for fan in fans)
            whole = sum(years[fan] for fan in fans)
            for fan in fans:
                seen = stats.binom.sf(counts[fan, item] - 1, total, years[fan] / whole)
                chance[fan, item] = float(seen)
    adjusted = stats.false_discovery_control(list(chance.values()))
    return dict(zip(chance, adjusted, strict=True))


fans = st.lists(
    st.tuples(st.floats(0.1, 10), st.integers(0, 2)), min_size=2, max_size=8
)  # fmt: skip


@given(fans, st.data())
def test_recurring_then_as_every_test_made_one_by_one(
    each: list[tuple[float, int]], data: st.DataObject
) -> None:
    loss = st.tuples(
        st.integers(0, len(each) - 1), st.integers(0, 2), st.integers(START, START + 900)
    )
    told = data.draw(st.lists(loss, max_size=25))
    years, kinds = [years for years, _ in each], [kind for _, kind in each]
    told_by_us = found(told, years, kinds)
    ours = zip(told_by_us.fan, told_by_us.item, strict=True)
    often = {pair for pair, n in Counter((f, i) for f, i, _ in set(told)).items() if n > 1}
    expected = plainly(told, years, kinds) if told else {}
    assert dict(zip(ours, told_by_us.discovery, strict=True)) == pytest.approx(
        {pair: expected[pair] for pair in sorted(often)}
    )


@given(st.lists(st.integers(START, START + 2500), min_size=2, max_size=6, unique=True))
def test_again_soon_then_within_twelve_months_by_the_calendar(days: list[int]) -> None:
    ordered = [date.fromordinal(day) for day in sorted(days)]
    gaps = list(pairwise(ordered))
    told = found([(0, 0, day) for day in days], [7.0, 7.0], [0, 0])
    assert (told.again_soon[0], told.closest_days[0]) == (
        any(later <= first + relativedelta(months=12) for first, later in gaps),
        min((later - first).days for first, later in gaps),
    )


def test_one_failure_or_two_on_a_day_then_nothing_recurs() -> None:
    assert len(found([(0, 0, START), (0, 0, START), (1, 0, START)], [3, 3], [0, 0]).fan) == 0


def test_nothing_failed_then_nothing_recurs() -> None:
    assert len(found([], [3.0], [0]).fan) == 0


# By hand: five failures in 1 of 11 fan-years, two in the other 10: a rate 25 times theirs; the
# chance of five or more of seven at 1/11 is 21/11^5 * (10/11)^2 + 7/11^6 * 10/11 + 1/11^7.
def test_recurring_when_rates_are_known_then_ratio_and_chance_by_hand() -> None:
    told = [(0, 0, START + 90 * n) for n in range(5)] + [(1, 0, START), (1, 0, START + 800)]
    seen = found(told, [1.0, 10.0], [0, 0])
    by_hand = (21 * 10**2 + 7 * 10 + 1) / 11**7
    assert (seen.ratio[0], seen.chance[0]) == pytest.approx((25.0, by_hand))


def test_fan_alone_in_its_class_then_only_time_tells() -> None:
    seen = found([(0, 0, START), (0, 0, START + 100)], [3.0, 3.0], [0, 1])
    assert (seen.holds_by_rate[0], seen.again_soon[0], np.isnan(seen.ratio[0])) == (
        False, True, True,
    )  # fmt: skip


def test_losses_of_no_fan_then_refused() -> None:
    with pytest.raises(SeriesError, match="from 0 to 0"):
        found([(1, 0, START)], [3.0], [0])


@pytest.mark.parametrize(
    ("times", "told"),
    [
        ([900, 950, 970, 985, 990], "too_few"),
        ([900, 950, 970, 985, 990, 995], "faster"),
        ([100, 300, 400, 600, 750, 900], "not_shown"),
        ([1, 2, 3, 5, 8, 10, 12], "slower"),
    ],
)
def test_course_then_a_verdict_from_six_failures_on(times: list[float], told: str) -> None:
    assert course(power_law([times], 1000.0)) == [told]
