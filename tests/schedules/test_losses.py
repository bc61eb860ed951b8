"""One count of losses of function, whoever asks: call-backs apart, a failure told twice once."""

from __future__ import annotations

from typing import Any

import pytest
from django.db.models import Q

from fleet.models import Fan
from schedules.causes.gathering import losses_of
from schedules.causes.services import confirmed_causes
from schedules.due.odds import odds_of
from schedules.due.records import fan_records
from schedules.due.truth import read_truth
from schedules.fan_page.gathering import read_fan_file
from schedules.fan_page.losses import losses_in
from schedules.services import log_visit
from tests.visits.roofs import NOW, WITHIN, check, make_roof, visit
from visits.losses import once_each, read_losses

pytestmark = pytest.mark.django_db
LOST = {
    "fan": "EF-1", "item": "motor", "severity": "critical", "loss_of_function": True,
    "cause": "wear",
}  # fmt: skip


def log(on: str, *losses: dict[str, Any], **parts: Any) -> None:
    """A service call at which EF-1 stood, with such findings; each is of the motor."""
    checks = parts.pop("checks", [check(seen={"running": "dead"})])
    told = [{**LOST, **loss} for loss in losses]
    payload = visit(*checks, on=f"{on}T09:10", kind="service_call", findings=told, **parts)
    log_visit(payload=payload, by=None, now=NOW)


def counts(fan: Fan) -> set[int]:
    """What each reader counts."""
    ((_, build),) = fan_records([fan.pk])
    truth = read_truth([fan.pk])
    return {
        len(build().failed_days),
        odds_of([fan.pk])[fan.pk].losses,
        len(once_each(read_losses(Q(fan=fan)))),
        len(losses_of(truth, truth.fans[0])),
        len(losses_in(read_fan_file(fan, NOW))),
        confirmed_causes({"motor"})["motor"]["wear"],
    }


WORK = [{"fan": "EF-1", "kind": "replaced", "item": "motor"}]


@pytest.mark.parametrize(
    ("first", "second", "counted"),
    [
        ({}, {}, 1),
        ({}, {"failed_on": "2026-02-01"}, 1),
        ({}, {"failed_on": "2026-03-20"}, 2),
        ({}, {"call_back": True}, 1),
        ({"actions": WORK}, {}, 2),
    ],
)
def test_losses_when_told_by_two_visits_then_all_count_alike(
    first: dict[str, Any], second: dict[str, Any], counted: int
) -> None:
    make_roof()
    if second.pop("call_back", False):
        first, second = {"actions": [{**WORK[0], "kind": "repaired"}]}, {"failed_on": "2026-02-20"}
    log("2026-02-02", {}, **first)
    log("2026-04-02", second)
    assert counts(Fan.objects.get(tag="EF-1")) == {counted}


def test_losses_when_it_was_seen_running_in_between_then_two() -> None:
    make_roof()
    log("2026-02-02", {})
    log("2026-03-02", checks=[check(seen=WITHIN)])
    log("2026-04-02", {})
    assert counts(Fan.objects.get(tag="EF-1")) == {2}


def test_losses_when_one_visit_tells_of_two_days_then_two() -> None:
    make_roof()
    log("2026-04-02", {"failed_on": "2026-01-12"}, {"failed_on": "2026-03-20"})
    assert counts(Fan.objects.get(tag="EF-1")) == {2}
