"""Failures counted by item, machine model and site: whose, held against whom, written when."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from scipy import stats

from fleet.models import Fan, Machine
from schedules.models import FailureTally, FleetCurve
from schedules.patterns.finding import find_patterns
from schedules.wording.tallies import ratio_text
from tests.patterns.failing import NOW, corrected, failed
from tests.schedules.fans import make_fan
from visits.models import Finding

pytestmark = pytest.mark.django_db


@pytest.fixture
def fleet(db: None) -> list[Fan]:
    """Ten fans known for ten years, the first four of them of model A, the others of B."""
    fans = [make_fan(f"EF-{number}") for number in range(10)]
    Fan.objects.update(entered_on=dt.date(2016, 6, 15))
    Machine.objects.filter(fan__in=fans[:4]).update(model="HX  24")
    Machine.objects.filter(fan__in=fans[4:]).update(model="KR 9")
    return fans


def find(days: int = 0) -> Any:
    return find_patterns(now=NOW + dt.timedelta(days=days))


def tally(**which: Any) -> FailureTally:
    return FailureTally.objects.get(**{"item": "switch", **which})


def fail_each(fans: list[Fan], item: str = "switch") -> None:
    for number, fan in enumerate(fans, 1):
        failed(fan, f"2024-0{number}-10", item)


# Exactly scipy.stats.binomtest: 8 of 9 failures in 4 of 10 fans, all watched for the same time.
def test_model_that_fails_more_then_held_exactly_against_all_others(fleet: list[Fan]) -> None:
    for _ in range(2):
        fail_each(fleet[:4])
    failed(fleet[7], "2024-03-04")
    Finding.objects.update(failed_on=None)
    find()
    row = tally(by="model")
    told = (row.model, row.failures, row.positions, row.figures["others"])
    assert told == ("HX 24", 4, 4, 1)
    exact = stats.binomtest(4, 5, 0.4, alternative="greater").pvalue
    assert row.figures["chance"] == pytest.approx(exact, rel=1e-5)


def test_models_that_differ_in_case_and_blanks_then_one(fleet: list[Fan]) -> None:
    fleet[0].machines.update(model="hx 24 ")
    fail_each(fleet[:2])
    find()
    assert (tally(by="model").model, tally(by="model").failures) == ("HX 24", 2)


def test_failure_on_the_day_of_a_replacement_then_of_the_machine_that_left(
    fleet: list[Fan],
) -> None:
    fan = fleet[9]
    fan.machines.update(removed_on="2024-01-10")
    Machine.objects.create(fan=fan, model="HX 24", installed_on="2024-01-10")
    fail_each([fan, fleet[8]])
    find()
    assert tally(by="model").model == "KR 9"


def test_site_then_its_fans_together_and_any_item_once_a_day(fleet: list[Fan]) -> None:
    Fan.objects.filter(pk__in=[each.pk for each in fleet[:2]]).update(site=fleet[0].site)
    fail_each(fleet[:2])
    fail_each(fleet[:1], "motor")
    find()
    rows = FailureTally.objects.filter(by="site").values_list("site", "item", "failures")
    assert sorted(rows) == [(fleet[0].site_id, "", 2), (fleet[0].site_id, "switch", 2)]


def test_item_then_its_last_year_against_before(fleet: list[Fan]) -> None:
    fail_each(fleet[:2])
    for fan in fleet[3:6]:
        failed(fan, "2026-02-10")
    find()
    row = tally(by="item")
    # ten fans: 10 fan-years of the last year, some 90 before
    exact = stats.binomtest(3, 5, 0.1, alternative="greater").pvalue
    assert (row.figures["compared"], row.figures["others"]) == (3, 2)
    assert row.figures["chance"] == pytest.approx(exact, rel=0.01)


@pytest.mark.parametrize(
    ("lower", "said"),
    [
        (1.3, "Stands out: of all that do as much, about 8.0 % are expected to be chance."),
        (0.9, "Stands out, if barely, for its own range still holds no difference"),
    ],
)
def test_what_stands_out_when_its_range_holds_no_difference_then_said(
    lower: float, said: str
) -> None:
    told = {"ratio": 2.4, "lower": lower, "upper": 7.1, "others_years": 90.0, "discovery": 0.08}
    assert said in ratio_text(FailureTally(by="model", stands_out=True, positions=3, figures=told))


def test_count_again_then_nothing_is_written(fleet: list[Fan]) -> None:
    fail_each(fleet[:4])
    assert (find().tallied > 0, find(days=1).tallied) == (True, 0)


def test_failures_corrected_away_then_counts_and_curve_go(fleet: list[Fan]) -> None:
    fail_each(fleet[:2])
    find()
    for finding in Finding.objects.all():
        corrected(finding, loss_of_function=False)
    find(days=1)
    assert (FailureTally.objects.count(), FleetCurve.objects.count()) == (0, 0)


# Nelson's estimate by hand: ten fans watched, one failure each time, so a tenth more by each.
def test_curve_then_mean_failures_by_years_under_watch(fleet: list[Fan]) -> None:
    fail_each(fleet[:3])
    find()
    row = FleetCurve.objects.get()
    assert [point[2] for point in row.points] == pytest.approx([0.1, 0.2, 0.3])
    assert (row.fans, row.failures, row.points[0][1]) == (10, 3, 10)
