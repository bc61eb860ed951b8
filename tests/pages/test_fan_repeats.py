"""What a fan's page says of parts that failed again within a year, and of breakers reset."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.utils import timezone

from fleet.models import Fan, Person
from schedules.fan_page.gathering import read_fan_file
from schedules.fan_page.repeats import repeats_of
from schedules.services import log_event, log_visit
from tests.pages.fan_visits import PEAK, SHAKEN, log, told
from tests.visits.roofs import NOW, PLACE, check, visit

SWITCH = {"fan": "EF-1", "kind": "replaced", "item": "switch"}
FAILED = {
    "fan": "EF-1", "subject": "poles", "item": "switch", "severity": "critical",
    "failure_mode": "FTS", "loss_of_function": True,
}  # fmt: skip
CAUSELESS = "The cause is not determined; it should be found before the next part fails."


def said(fan: Fan) -> tuple[str, ...]:
    """What the page says on 15 June 2026."""
    return repeats_of(read_fan_file(Fan.objects.get(pk=fan.pk), NOW))


def reset(on: str, **parts: Any) -> None:
    """Record that the kitchen reset the breaker."""
    event = {"id": str(uuid4()), **PLACE, "fan": "EF-1", "kind": "breaker_reset", "started": on}
    log_event(payload={**event, **parts}, by=None, now=NOW)


def test_part_when_renewed_twice_in_a_year_then_told_with_its_days(fan: Fan) -> None:
    for day in ("2025-07-10", "2026-06-09"):
        log(on=f"{day}T09:10", actions=[SWITCH])
    assert said(fan) == (
        "Disconnecting switch: replaced twice within 11 months (Thu 10 Jul 2025, Tue 9 Jun 2026). "
        + CAUSELESS,
    )


def test_part_when_renewed_in_front_of_the_year_then_not_told(fan: Fan) -> None:
    for day in ("2025-06-08", "2026-06-09"):
        log(on=f"{day}T09:10", actions=[SWITCH])
    assert said(fan) == ()


def test_part_when_renewed_twice_long_ago_then_not_told(fan: Fan) -> None:
    for day in ("2024-10-01", "2025-06-09"):
        log(on=f"{day}T09:10", actions=[SWITCH])
    assert said(fan) == ()


def test_different_parts_when_each_renewed_once_then_not_told(fan: Fan) -> None:
    log(on="2026-02-02T09:10", actions=[SWITCH])
    log(on="2026-06-09T09:10", actions=[{**SWITCH, "item": "motor"}])
    assert said(fan) == ()


def test_part_when_the_fan_shook_each_time_then_said_with_its_verdicts(fan: Fan) -> None:
    for day, noise in (("2026-02-02", "new"), ("2026-06-09", "usual")):
        seen = check(readings=SHAKEN, context=PEAK, seen={"noise": noise, "running": "dead"})
        log(seen, on=f"{day}T09:10", actions=[SWITCH])
    (told_once,) = said(fan)
    assert "Each time the fan was shaking (watch, watch). The cause is not" in told_once


def test_part_when_lost_twice_then_told_once_though_it_was_renewed_as_well(fan: Fan) -> None:
    for day in ("2026-02-02", "2026-06-09"):
        log(on=f"{day}T09:10", actions=[SWITCH], findings=[FAILED])
    assert len(said(fan)) == 1


def test_part_when_lost_twice_then_failed_twice_and_told_again_once(fan: Fan) -> None:
    log(on="2026-02-02T09:10", findings=[FAILED])
    log(on="2026-06-09T09:10", findings=[FAILED])
    assert said(fan) == ()
    log(on="2026-06-10T09:10", findings=[{**FAILED, "failed_on": "2026-06-10"}])
    assert said(fan)[0].startswith("Disconnecting switch: failed twice within 5 months")


def test_part_when_the_second_loss_calls_back_a_repair_then_one_failure(fan: Fan) -> None:
    mended = {**SWITCH, "kind": "repaired"}
    log(on="2026-06-01T09:10", findings=[FAILED], actions=[mended])
    log(on="2026-06-09T09:10", findings=[FAILED])
    assert said(fan) == ()


def test_part_when_somebody_wrote_down_a_cause_then_that_is_told(fan: Fan) -> None:
    for day in ("2026-02-02", "2026-06-09"):
        log(on=f"{day}T09:10", actions=[SWITCH], findings=[{**FAILED, "cause": "water"}])
    assert said(fan)[0].endswith("Cause as written down: water.")


def test_part_when_a_cause_is_of_one_failure_alone_then_it_is_not_that_of_all(fan: Fan) -> None:
    log(on="2026-02-02T09:10", actions=[SWITCH], findings=[{**FAILED, "cause": "water"}])
    log(on="2026-06-09T09:10", actions=[SWITCH], findings=[FAILED])
    told_last = "Cause as written down for 1 of them: water; that of the others is not determined."
    assert said(fan)[0].endswith(told_last)


@pytest.mark.parametrize("cause", ["Loose connection", "unknown"])
def test_part_when_its_cause_was_told_at_a_later_visit_then_told_in_words(
    cause: str, fan: Fan
) -> None:
    """That is what closes its pattern; *unknown* is none."""
    for day in ("2026-02-02", "2026-06-05"):
        log(on=f"{day}T09:10", actions=[SWITCH], findings=[FAILED])
    log(on="2026-06-09T09:10", findings=[{**FAILED, "cause": cause}])
    told_last = "Cause as written down: a loose or burnt connection."
    assert said(fan)[0].endswith(CAUSELESS if cause == "unknown" else told_last)


def test_failure_when_dated_after_the_visits_that_found_it_then_found_then(fan: Fan) -> None:
    """Two visits of one day that mistyped the failure's day tell of one failure."""
    for hour, day in (("09", "2026-06-10"), ("15", "2026-06-12")):
        log(on=f"2026-06-09T{hour}:10", findings=[{**FAILED, "failed_on": day}])
    assert said(fan) == ()


def test_breaker_when_reset_then_counted_over_the_year(fan: Fan) -> None:
    reset("2025-06-01", resets=9)
    reset("2026-06-01", resets=2)
    reset("2026-06-05")
    assert said(fan) == (
        "3 breaker resets since Mon 1 Jun 2026, the last on Fri 5 Jun 2026. Do not reset it again "
        "until someone qualified has judged the circuit safe.",
    )


def test_breaker_when_a_reset_was_corrected_to_none_then_not_told(fan: Fan) -> None:
    first = str(uuid4())
    reset("2026-06-01", id=first)
    reset("2026-06-01", supersedes=first, correction_reason="another fan", resets=0)
    assert said(fan) == ()


def test_page_when_a_part_was_renewed_again_then_told_beside_its_next_date(
    fan: Fan, dana: Person
) -> None:
    today = timezone.localdate()
    for ago in (200, 5):
        payload = visit(on=f"{today - timedelta(ago)}T09:10", actions=[SWITCH])
        log_visit(payload=payload, by=None, now=timezone.now())
    words = told(fan, dana)
    part = words[words.index("Next date") : words.index("How this day is reckoned")]
    assert "Disconnecting switch: replaced twice within 7 months" in part
