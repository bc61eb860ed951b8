"""What the past says of a record does not depend on the order in which things were told."""

from __future__ import annotations

from itertools import permutations
from typing import Any

import pytest

from tests.visits.roofs import check, correct, log, make_roof
from visits.models import Check, Finding, Visit
from visits.services import RecordedVisit

pytestmark = pytest.mark.django_db
SLIGHT = {"vibration_felt": "slight"}
SWITCH = {"fan": "EF-1", "item": "switch", "severity": "critical", "loss_of_function": True}


@pytest.fixture(autouse=True)
def roof() -> None:
    """Every test has its roof."""
    make_roof()


def felt_verdicts() -> dict[str, str]:
    """Verdict on vibration by hand for each day that stands."""
    standing = Check.objects.filter(visit__superseded_by=None)
    return {
        f"{on:%m-%d} {stage}": judged["vibration_felt"]
        for on, stage, judged in standing.values_list("visit__local_on", "stage", "judged")
    }


def slight(on: str, **parts: Any) -> RecordedVisit:
    """A visit on which EF-1 was felt slightly shaking."""
    return log(check(seen=SLIGHT), on=on, **parts)


def work(kind: str, item: str = "") -> dict[str, Any]:
    """An action on EF-1."""
    return {"actions": [{"fan": "EF-1", "kind": kind, **({"item": item} if item else {})}]}


def test_slight_when_felt_again_then_within() -> None:
    slight("2026-01-05")
    slight("2026-02-05")
    assert felt_verdicts() == {"01-05 as_found": "watch", "02-05 as_found": "within"}


@pytest.mark.parametrize("order", list(permutations(("2026-01-05", "2026-02-05", "2026-03-05"))))
def test_slight_when_told_in_any_order_then_only_the_first_is_new(order: tuple[str, ...]) -> None:
    for on in order:
        slight(on)
    assert [v for _, v in sorted(felt_verdicts().items())] == ["watch", "within", "within"]


@pytest.mark.parametrize(
    ("reset", "verdict"),
    [
        (work("balanced"), "watch"),
        (work("replaced", "bearings"), "watch"),
        (work("speed_changed"), "watch"),
        (work("remounted"), "watch"),
        # a wheel cleaned or a switch replaced starts no new series of what is felt by hand
        (work("cleaned", "wheel"), "within"),
        (work("replaced", "switch"), "within"),
    ],
)
def test_slight_when_something_was_done_between_then_new_only_after_a_reset(
    reset: dict[str, Any], verdict: str
) -> None:
    slight("2026-01-05")
    log(on="2026-01-20", **reset)
    slight("2026-02-05")
    assert felt_verdicts()["02-05 as_found"] == verdict


def test_slight_when_the_reset_is_told_late_then_new_after_all() -> None:
    slight("2026-01-05")
    slight("2026-02-05")
    log(on="2026-01-20", **work("balanced"))
    assert felt_verdicts()["02-05 as_found"] == "watch"


def test_slight_when_another_machine_stands_there_then_new() -> None:
    slight("2026-01-05")
    swap = {"fan": "EF-1", "kind": "replaced", "item": "machine", "machine": {}}
    slight("2026-02-05", actions=[swap])
    slight("2026-03-05")
    assert felt_verdicts() == {
        "01-05 as_found": "watch", "02-05 as_found": "within", "03-05 as_found": "watch",
    }  # fmt: skip


def test_slight_when_as_left_after_the_reset_then_seen_at_the_next_look() -> None:
    left = check(stage="as_left", seen=SLIGHT)
    log(check(seen={"vibration_felt": "strong"}), left, on="2026-01-05", **work("balanced"))
    slight("2026-02-05")
    assert felt_verdicts()["02-05 as_found"] == "within"


def test_slight_when_the_earlier_look_is_corrected_away_then_new_after_all() -> None:
    first = slight("2026-01-05")
    slight("2026-02-05")
    correct(first, check(seen={"vibration_felt": "none"}), on="2026-01-05")
    assert felt_verdicts() == {"01-05 as_found": "within", "02-05 as_found": "watch"}


def call_backs() -> list[bool]:
    """Whether each standing finding is a call-back, in order of time."""
    standing = Finding.objects.filter(visit__in=Visit.objects.standing())
    return list(standing.order_by("visit__began_at").values_list("call_back", flat=True))


@pytest.mark.parametrize(
    ("on", "found"),
    [("2026-01-04", False), ("2026-01-06", True), ("2026-02-04", True), ("2026-02-05", False)],
)
def test_finding_when_its_item_was_replaced_within_30_days_then_call_back(
    on: str, found: bool
) -> None:
    log(on="2026-01-05", **work("replaced", "switch"))
    log(on=on, findings=[SWITCH])
    assert call_backs() == [found]


def test_finding_when_the_same_visit_mended_it_then_no_call_back() -> None:
    log(on="2026-01-05", findings=[SWITCH], **work("replaced", "switch"))
    assert call_backs() == [False]


def test_finding_when_another_item_was_mended_then_no_call_back() -> None:
    log(on="2026-01-05", **work("replaced", "belt"))
    log(on="2026-01-10", findings=[SWITCH])
    assert call_backs() == [False]


def test_finding_when_the_repair_is_told_late_then_call_back_after_all() -> None:
    log(on="2026-01-10", findings=[SWITCH])
    log(on="2026-01-05", **work("repaired", "poles"))
    assert call_backs() == [True]


def test_finding_when_the_repair_is_corrected_away_then_no_call_back_any_more() -> None:
    mended = log(on="2026-01-05", **work("repaired", "switch"))
    log(on="2026-01-10", findings=[SWITCH])
    correct(mended, on="2026-01-05")
    assert call_backs() == [False]
