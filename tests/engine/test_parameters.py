"""The settings: their published defaults, their intervals, how they are overridden and shown."""

from __future__ import annotations

import pytest

from schedules.engine.errors import ParameterError
from schedules.engine.parameters import DueParams
from schedules.engine.settable import Setting, Standing
from tests.engine.given import case

# NF-01 names kinds of kitchen; these are the cooking classes the register knows them by.
CLASS_OF = {
    "solid fuel": "solid_fuel",
    "24-hour": "high",
    "charbroiling": "high",
    "wok": "high",
    "moderate-volume": "moderate",
}
MONTHS_OF = {"monthly": 1, "quarterly": 3, "semiannually": 6, "annually": 12}


def setting(name: str) -> Setting:
    return next(entry for entry in DueParams().settings() if entry.name == name)


def every_number() -> list[Setting]:
    return list(DueParams().settings())


# NF-01, NFPA 96 inspection table.
@pytest.mark.parametrize("which", range(9))
def test_code_months_by_kind_of_cooking_then_the_published_frequency(which: int) -> None:
    inputs, expected = case("NF-01")
    cooking = CLASS_OF.get(inputs["types"][which], "low")
    assert DueParams().code.months((cooking,)) == MONTHS_OF[expected["frequency"][which]]


def test_code_months_of_several_classes_then_the_strictest() -> None:
    assert DueParams().code.months(("low", "solid_fuel", "moderate")) == 1


def test_code_months_of_no_class_then_three() -> None:
    assert DueParams().code.months(()) == 3


# W26, NETA MTS Appendix B: high reliability and average condition halve the base interval.
@pytest.mark.parametrize(("base", "expected"), [(1, 0.5), (12, 6), (24, 12)])
def test_multiplier_for_high_reliability_in_average_condition_then_half(
    base: float, expected: float
) -> None:
    assert base * DueParams().walk.multipliers.factor("average", "high") == expected


@pytest.mark.parametrize(("nth", "days"), [(1, 14), (2, 30), (3, 60), (4, 60), (9, 60)])
def test_act_days_then_a_ladder_that_ends_at_sixty(nth: int, days: int) -> None:
    assert DueParams().level.act_days(nth) == days


@pytest.mark.parametrize("number", every_number(), ids=lambda entry: entry.name)
def test_number_just_below_its_interval_then_error_names_it(number: Setting) -> None:
    with pytest.raises(ParameterError, match=number.name.split(".")[-1]):
        DueParams().overridden({number.name: number.about.low - 0.5})


@pytest.mark.parametrize("number", every_number(), ids=lambda entry: entry.name)
def test_number_just_above_its_interval_then_error_names_it(number: Setting) -> None:
    with pytest.raises(ParameterError, match=number.name.split(".")[-1]):
        DueParams().overridden({number.name: number.about.high + 0.5})


@pytest.mark.parametrize("number", every_number(), ids=lambda entry: entry.name)
def test_number_then_founded_or_our_own_choice(number: Setting) -> None:
    assert bool(number.about.source) != (number.about.standing is Standing.OUR_CHOICE)


@pytest.mark.parametrize("value", [float("nan"), "14", True, 13.5])
def test_days_when_no_whole_number_then_error(value: float) -> None:
    with pytest.raises(ParameterError, match=r"lead_days"):
        DueParams().overridden({"grease.lead_days": value})


def test_months_between_walks_when_no_whole_number_then_taken() -> None:
    """Rules: whole months by the calendar, then the fraction of one by days."""
    assert DueParams().overridden({"walk.harsh_base_months": 0.5}).walk.harsh_base_months == 0.5


def test_overridden_then_only_that_number_differs() -> None:
    changed = DueParams().overridden({"grease.lead_days": 10.0})
    assert [entry.name for entry in changed.settings() if entry.value != entry.default] == [
        "grease.lead_days"
    ]


def test_overridden_with_two_that_belong_together_then_checked_together() -> None:
    changed = DueParams().overridden({"belt.due_hours": 100, "belt.overdue_hours": 200})
    assert (changed.belt.due_hours, changed.belt.overdue_hours) == (100, 200)


@pytest.mark.parametrize("name", ["grease.lead", "grease", "", "grease.lead_days.more"])
def test_overridden_with_an_unknown_name_then_error_lists_known_ones(name: str) -> None:
    with pytest.raises(ParameterError, match=r"grease\.lead_days"):
        DueParams().overridden({name: 1})


@pytest.mark.parametrize(
    "changes",
    [
        {"storm.due_days": 8},
        {"cleaning.overdue_days": 6},
        {"belt.blind_overdue_days": 2},
        {"walk.multipliers.poor_low": 3},
    ],
)
def test_overridden_with_contradicting_numbers_then_error(changes: dict[str, float]) -> None:
    with pytest.raises(ParameterError):
        DueParams().overridden(changes)


def test_setting_then_tells_unit_source_and_standing() -> None:
    about = setting("code.moderate_months").about
    assert (about.unit, about.source[:7], about.standing) == ("months", "NFPA 96", "confirmed")
