"""Which looks and troubles of a long past are told."""

from __future__ import annotations

from datetime import date

import pytest

from schedules.round_sheet.past import Look, Trouble, looks_that_count, troubles_that_count


def look(month: int, *, whole: bool = True) -> Look:
    return Look(date(2026, month, 1), "walk_through", whole, {})


def trouble(month: int, what: str) -> Trouble:
    return Trouble(date(2026, month, 1), what, "belt")


OLD, NEW, PART = look(1), look(3), look(5, whole=False)


@pytest.mark.parametrize(("looks", "told"), [
    ([], []),
    ([OLD, NEW], [NEW]),
    ([OLD, PART], [OLD, PART]),
    ([PART, NEW], [NEW]),
    ([PART], [PART]),
])  # fmt: skip
def test_looks_then_the_last_complete_one_and_a_part_since(
    looks: list[Look], told: list[Look]
) -> None:
    assert looks_that_count(looks) == told


@pytest.mark.parametrize(("verdicts", "worst", "subjects"), [
    ({}, "", []),
    ({"noise": "within", "volts": "cannot_judge"}, "within", []),
    ({"hinge": "act", "belt": "act", "noise": "watch"}, "act", ["belt", "hinge"]),
])  # fmt: skip
def test_look_then_its_worst_verdict_and_what_got_it(
    verdicts: dict[str, str], worst: str, subjects: list[str]
) -> None:
    seen = Look(date(2026, 1, 1), "walk_through", True, verdicts)
    assert (seen.worst, seen.worst_subjects) == (worst, subjects)


def test_troubles_then_the_last_failure_and_the_last_mending_in_order_of_time() -> None:
    failed, again, mended = trouble(2, "failed"), trouble(4, "call_back"), trouble(3, "replaced")
    assert troubles_that_count([failed, mended, again]) == [mended, again]
