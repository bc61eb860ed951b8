"""Stored checks judged again, and verdicts by subject."""

from __future__ import annotations

from datetime import timedelta

import pytest

from fleet.models import Feed, Machine
from tests.visits.roofs import check, log, make_roof
from visits.judging import judgements_of, verdicts
from visits.models import Check
from visits.services import judge_again

pytestmark = pytest.mark.django_db
READINGS = {
    "volts_ab": 230, "amps_a": 3.4, "grease_duct": "2000 um", "grease_housing": "300 um",
    "vibration_motor_radial": "0.52 in/s", "vibration_curb": "1 mm/s", "insulation": ">500 megohm",
    "insulation_temperature": "40 C",
}  # fmt: skip


@pytest.fixture(autouse=True)
def roof() -> None:
    """Every test has its roof."""
    make_roof()


def test_judgements_when_asked_again_then_those_given_when_logged() -> None:
    recorded = log(
        check(readings=READINGS, context={"vibration_detector": "peak"}),
        check("EF-2", seen={"vibration_felt": "slight"}),
    )
    again = judgements_of(list(Check.objects.order_by("fan__tag")))
    assert again == [each.judgements for each in recorded.checks]


def test_verdicts_when_several_places_then_each_has_its_subject() -> None:
    log(check(readings=READINGS, context={"vibration_detector": "peak"}))
    judged = Check.objects.get().judged
    assert {k: v for k, v in judged.items() if k.startswith(("grease", "vibration"))} == {
        "grease_duct": "act", "grease_housing": "within",
        "vibration_motor_radial": "act", "vibration_curb": "within",
    }  # fmt: skip


def test_verdicts_when_none_then_empty() -> None:
    assert verdicts([]) == {}


def test_plate_when_completed_later_then_judging_again_gives_the_verdict() -> None:
    machine = Machine.objects.get(fan__tag="EF-1")
    Machine.objects.filter(pk=machine.pk).update(full_load_amps="")
    log(check(readings={"amps_a": 3.1}))
    before = Check.objects.get().judged
    Machine.objects.filter(pk=machine.pk).update(full_load_amps="3.2/1.6")
    changed = judge_again(fan_ids=[machine.fan_id])
    assert (before, changed, Check.objects.get().judged) == (
        {"amps": "cannot_judge"}, 1, {"amps": "within"},
    )  # fmt: skip


def test_judging_again_when_nothing_was_learnt_then_nothing_changes() -> None:
    log(check(readings=READINGS, seen={"vibration_felt": "slight"}))
    log(check(seen={"vibration_felt": "slight"}), on="2026-04-01")
    fans = set(Check.objects.values_list("fan", flat=True))
    assert judge_again(fan_ids=fans) == 0


def test_feed_when_it_begins_after_the_check_then_not_used() -> None:
    day = log(check(readings={"volts_ab": 230})).visit.local_on
    Feed.objects.update(valid_from=day + timedelta(days=1))
    (judged,) = judgements_of(Check.objects.all())
    assert [j.code for j in judged] == ["volts.only_suggested"]


def test_machine_when_installed_after_the_check_then_nothing_is_known_of_it() -> None:
    Machine.objects.update(installed_on="2026-03-03")
    recorded = log(check(readings={"amps_a": 3.1}))
    assert (recorded.checks[0].row.machine_id, recorded.checks[0].row.judged) == (
        None, {"amps": "cannot_judge"},
    )  # fmt: skip
