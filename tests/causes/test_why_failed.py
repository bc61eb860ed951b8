"""What a fan's record tells of why it failed, from the tables to the engine."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from fleet.models import Fan, Feed, Machine, Person
from schedules.causes.gathering import losses_of
from schedules.causes.services import confirmed_causes, why_fan_failed
from schedules.due.truth import read_truth
from schedules.engine.causes import Past
from schedules.engine.causes.evidence import evidence_of
from schedules.services import log_event, log_visit
from tests.api.logs import cleaning, corrected, look, walk
from tests.people import Roofs
from tests.visits.roofs import NOW

pytestmark = pytest.mark.django_db
TODAY = NOW.date()
FAILED = {
    "item": "switch", "subject": "poles", "severity": "critical", "failure_mode": "FTF",
    "loss_of_function": True,
}  # fmt: skip


def log(payload: dict[str, Any]) -> None:
    log_visit(payload=payload, by=None, now=NOW)


def failed(fan: Fan, on: str = "2026-05-20T09:10", **finding: Any) -> dict[str, Any]:
    """A service call at which a loss of function was logged."""
    told = {"fan": fan.tag, **FAILED, **finding}
    return walk(fan, on, kind="service_call", checks=[], findings=[told])


def past_of(fan: Fan) -> Past:
    """What the engine is told of the newest loss."""
    truth = read_truth([fan.pk])
    return losses_of(truth, truth.fans[0])[0].past


def bands(fan: Fan, reader: Person) -> dict[str, str]:
    """By cause, how likely it is said to be."""
    [told] = why_fan_failed(fan.pk, today=TODAY, reader=reader)
    return {each.cause: each.band for each in told.why.causes}


def test_switch_when_laid_over_and_shaking_then_vibration_is_most_likely(
    roofs: Roofs, dana: Person
) -> None:
    """The first written case, through payloads and tables."""
    fan = roofs.bakery
    log(look(fan, "2026-03-21T09:10", seen={"vibration_felt": "none", "switch_cover": "tight"}))
    log_event(payload=cleaning(fan, "2026-05-11T23:00"), by=None, now=NOW)
    log(look(fan, "2026-05-16T09:10", seen={"vibration_felt": "strong", "wheel_gap": "uneven"}))
    log(failed(fan))
    assert bands(fan, dana)["vibration"] == "most_likely"


@pytest.mark.parametrize(("left", "known"), [("strong", None), ("none", False)])
def test_switch_when_its_fan_shook_once_it_ran_again_then_nobody_says_that_it_ran_still(
    left: str, known: bool | None, roofs: Roofs
) -> None:
    """Found dead it could not shake; how it was left speaks against what was seen months before."""
    fan = roofs.bakery
    log(look(fan, "2026-03-21T09:10", seen={"vibration_felt": "none"}))
    dead = {"fan": fan.tag, "seen": {"running": "dead"}}
    ran = {"fan": fan.tag, "stage": "as_left", "seen": {"vibration_felt": left}}
    log({**failed(fan), "checks": [dead, ran]})
    assert evidence_of(past_of(fan)).get("unsteady") is known


def test_cause_when_somebody_recorded_it_then_nothing_is_guessed_any_more(
    roofs: Roofs, dana: Person
) -> None:
    log(failed(roofs.bakery, cause="Loose connection"))
    assert why_fan_failed(roofs.bakery.pk, today=TODAY, reader=dana) == []
    assert confirmed_causes({"switch"}) == {"switch": {"loose_connection": 1}}


@pytest.mark.parametrize("text", ["unknown", "Not known", "not determined"])
def test_cause_when_said_to_be_unknown_then_still_looked_for(
    text: str, roofs: Roofs, dana: Person
) -> None:
    log(failed(roofs.bakery, cause=text))
    assert len(why_fan_failed(roofs.bakery.pk, today=TODAY, reader=dana)) == 1
    assert confirmed_causes({"switch"}) == {}


def test_mechanism_when_written_down_then_speaks_for_what_leaves_it(
    roofs: Roofs, dana: Person
) -> None:
    """Words as people write them; a failure told again without one keeps what was told of it."""
    log(failed(roofs.bakery))
    assert bands(roofs.bakery, dana)["loose_connection"] == "not_shown"
    log(failed(roofs.bakery, "2026-05-20T15:00", mechanism="Overheating"))
    log(failed(roofs.bakery, "2026-05-20T16:00", mechanism="unknown"))
    assert past_of(roofs.bakery).mechanism == "overheating"
    assert bands(roofs.bakery, dana)["loose_connection"] == "likely"


def test_confirmed_causes_when_a_visit_was_corrected_then_only_the_last_word_counts(
    roofs: Roofs,
) -> None:
    first = failed(roofs.bakery, cause="wear")
    log(first)
    log(corrected(first, findings=[{"fan": "EF-1", **FAILED, "cause": "corrosion"}]))
    assert confirmed_causes({"switch"}) == {"switch": {"corrosion": 1}}


def test_confirmed_causes_when_a_failure_is_told_again_with_another_then_only_the_last_word_counts(
    roofs: Roofs,
) -> None:
    """Found, not mended, found once more: one failure, and its cause is what was told last."""
    log(failed(roofs.bakery, cause="vibration"))
    log(failed(roofs.bakery, "2026-05-21T09:10", cause="corrosion"))
    assert confirmed_causes({"switch"}) == {"switch": {"corrosion": 1}}


@pytest.mark.parametrize(
    ("first", "aged"), [("2026-03-01", "part_new"), ("2010-01-01", "part_old"), (None, "")]
)
def test_switch_when_another_machine_came_then_as_old_as_the_first(
    first: str | None, aged: str, roofs: Roofs
) -> None:
    """It stays on its wall when a machine goes (``schedules.engine.codes.OF_MACHINE``)."""
    fan = roofs.bakery
    fan.machines.update(installed_on=first)
    swap = {"fan": fan.tag, "kind": "replaced", "item": "machine", "machine": {"drive": "direct"}}
    log({**walk(fan, "2026-04-21T09:10", kind="replacement", checks=[]), "actions": [swap]})
    log(failed(fan))
    found = evidence_of(past_of(fan))
    assert [name for name in ("part_new", "part_old") if found.get(name)] == aged.split()
    assert ("part_new" in found) == (first is not None)


def test_call_back_when_logged_then_no_failure_of_its_own(roofs: Roofs, dana: Person) -> None:
    """Repaired within thirty days before: the same failure (design: call-backs apart)."""
    repair = [{"fan": "EF-1", "kind": "repaired", "item": "switch"}]
    log({**failed(roofs.bakery), "actions": repair})
    log(failed(roofs.bakery, "2026-05-28T09:10"))
    [told] = why_fan_failed(roofs.bakery.pk, today=TODAY, reader=dana)
    assert told.loss.failed_on.isoformat() == "2026-05-20"


def test_call_back_when_it_tells_the_cause_then_nothing_is_guessed_any_more(
    roofs: Roofs, dana: Person
) -> None:
    """It is the same failure; that of another item, or before it failed anew, tells nothing."""
    repair = [{"fan": "EF-1", "kind": "repaired", "item": "switch"}]
    log({**failed(roofs.bakery, "2026-03-20T09:10"), "actions": repair})
    log(failed(roofs.bakery, "2026-03-28T09:10", mechanism="overheating"))
    assert past_of(roofs.bakery).mechanism == "overheating"
    log(failed(roofs.bakery, "2026-03-29T09:10", cause="surge"))
    assert why_fan_failed(roofs.bakery.pk, today=TODAY, reader=dana) == []
    log(failed(roofs.bakery, "2026-06-09T09:10"))
    [told] = why_fan_failed(roofs.bakery.pk, today=TODAY, reader=dana)
    assert told.loss.past.mechanism == ""


def test_confirmed_causes_when_a_call_back_tells_one_then_of_the_failure_called_back(
    roofs: Roofs,
) -> None:
    """The first failed of wear and once more a year later; only then somebody found a surge."""
    repair = [{"fan": "EF-1", "kind": "repaired", "item": "switch"}]
    log({**failed(roofs.bakery, "2025-03-20T09:10", cause="wear"), "actions": repair})
    log({**failed(roofs.bakery, "2026-03-20T09:10"), "actions": repair})
    log(failed(roofs.bakery, "2026-03-28T09:10", cause="surge"))
    assert confirmed_causes({"switch"}) == {"switch": {"wear": 1, "surge": 1}}


def test_confirmed_causes_when_a_call_back_knows_better_then_its_word_counts(roofs: Roofs) -> None:
    repair = [{"fan": "EF-1", "kind": "repaired", "item": "switch"}]
    log({**failed(roofs.bakery, "2026-03-20T09:10", cause="wear"), "actions": repair})
    log(failed(roofs.bakery, "2026-03-28T09:10", cause="surge"))
    assert confirmed_causes({"switch"}) == {"switch": {"surge": 1}}


def test_finding_when_no_function_was_lost_then_nothing_is_told(roofs: Roofs, dana: Person) -> None:
    log(failed(roofs.bakery, loss_of_function=False))
    assert why_fan_failed(roofs.bakery.pk, today=TODAY, reader=dana) == []


def test_loss_when_older_than_a_year_then_left_alone(roofs: Roofs, dana: Person) -> None:
    log(failed(roofs.bakery, failed_on="2025-05-01"))
    assert why_fan_failed(roofs.bakery.pk, today=TODAY, reader=dana) == []


def test_owner_when_told_then_neither_looks_nor_other_fans_causes(
    roofs: Roofs, olga: Person, dana: Person
) -> None:
    log(failed(roofs.diner, cause="corrosion"))
    log(failed(roofs.bakery))
    [theirs] = why_fan_failed(roofs.bakery.pk, today=TODAY, reader=olga)
    [ours] = why_fan_failed(roofs.bakery.pk, today=TODAY, reader=dana)
    assert (theirs.why.looks, {cause.confirmed for cause in theirs.why.causes}) == ((), {0})
    assert (len(ours.why.looks), max(cause.confirmed for cause in ours.why.causes)) == (3, 1)


def test_why_when_asked_then_three_statements_and_one_where_nothing_failed(
    roofs: Roofs, dana: Person
) -> None:
    log(failed(roofs.bakery))
    counts = []
    for fan in (roofs.bakery, roofs.canteen):
        with CaptureQueriesContext(connection) as asked:
            why_fan_failed(fan.pk, today=TODAY, reader=dana)
        counts.append(len(asked))
    assert counts == [3, 1]


def test_past_when_machine_was_replaced_for_it_then_the_old_one_failed(roofs: Roofs) -> None:
    """A machine put in on the day of the failure is its repair, not what failed."""
    fan = roofs.bakery
    Machine.objects.filter(fan=fan).delete()
    old = {"installed_on": "2020-05-01", "removed_on": "2026-05-20", "motor_type": "psc"}
    Machine.objects.create(fan=fan, **old)
    Machine.objects.create(fan=fan, installed_on="2026-05-20", motor_type="ec")
    log(failed(fan))
    past = past_of(fan)
    assert (past.motor_type, past.since_day) == ("psc", timezone.datetime(2020, 5, 1).toordinal())


@pytest.mark.parametrize(
    ("phases", "typed", "motor"),
    [(3, "", "three_phase"), (1, "", "single_phase"), (1, "psc", "psc"), (None, "", "")],
)
def test_past_when_the_plate_names_phases_then_the_motor_is_told_as_far(
    phases: int | None, typed: str, motor: str, roofs: Roofs
) -> None:
    Machine.objects.filter(fan=roofs.bakery).delete()
    Machine.objects.create(fan=roofs.bakery, phases=phases, motor_type=typed)
    log(failed(roofs.bakery))
    assert past_of(roofs.bakery).motor_type == motor


def test_past_when_volts_and_overload_were_read_then_as_shares_of_the_plate(roofs: Roofs) -> None:
    """230 V rated and 3.2 A: 202 V is 0.878 of it, a setting of 2.72 A is 0.85."""
    fan = roofs.bakery
    Machine.objects.filter(fan=fan).delete()
    Feed.objects.filter(fan=fan).delete()
    plate = {"volts": "230", "full_load_amps": "3.2", "power_hp": 1, "service_factor": 1.15}
    Machine.objects.create(fan=fan, motor_type="three_phase", **plate)
    Feed.objects.create(fan=fan, connected_volts="230", connected_confirmed=True)
    readings = {"volts_ab": 204, "volts_bc": 202, "volts_ca": 206, "overload_setting": 2.72}
    log(look(fan, "2026-05-18T09:10", readings=readings))
    log(failed(fan))
    seen = past_of(fan).looks[-1]
    assert seen.volts_of_rated == pytest.approx(202 / 230)
    assert seen.overload_of_full_load == pytest.approx(0.85)


def test_past_when_an_event_spans_the_failure_then_it_is_of_that_day(roofs: Roofs) -> None:
    fan = roofs.bakery
    outage = {
        "id": "5f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0c77", "kind": "power_event",
        "site_id": fan.site_id, "started": "2026-05-18", "ended": "2026-05-25",
    }  # fmt: skip
    log_event(payload=outage, by=None, now=NOW)
    log(failed(fan))
    past = past_of(fan)
    assert [event.day for event in past.events] == [past.failed_day]


def test_past_when_it_failed_before_the_machine_on_record_then_nobody_knows_its_age(
    roofs: Roofs,
) -> None:
    Machine.objects.filter(fan=roofs.bakery).update(installed_on="2026-06-01")
    log(failed(roofs.bakery))
    assert past_of(roofs.bakery).since_day is None
