"""A correction is a new visit that supersedes the old one whole."""

from __future__ import annotations

import json
from uuid import UUID, uuid4

import pytest

from fleet.models import Fan, Person
from tests.visits.roofs import NOW, PLACE, check, correct, log, make_roof, visit
from visits.models import Check, Closing, Decision, Finding, Recommendation, Visit
from visits.payload import PayloadError
from visits.services import close_finding, recall_visit, record_decision, record_visit
from visits.services.cautions import Caution
from visits.services.imports import import_visits, read_visits

pytestmark = pytest.mark.django_db
FINDING = {"id": str(uuid4()), "fan": "EF-1", "item": "belt", "severity": "degraded"}
ADVICE = {"id": str(uuid4()), "fan": "EF-1", "subject": "hinge", "text": "Renew the pins."}

SAID = {"recommendation": ADVICE["id"], "answer": "declined", "on": "2026-03-05"}


@pytest.fixture(autouse=True)
def roof() -> None:
    """Every test has its roof."""
    make_roof()


def test_correction_when_recorded_then_the_old_visit_stands_no_longer() -> None:
    old = log(check(seen={"hinge": "loose"}))
    new = correct(old, check(seen={"hinge": "sound"}))
    assert (list(Visit.objects.standing()), Visit.objects.count()) == ([new.visit], 2)


def test_correction_when_recorded_then_every_fan_of_the_site_is_touched() -> None:
    old = log(check("EF-1"))
    assert set(correct(old).fan_ids) == set(Fan.objects.values_list("pk", flat=True))


def test_visit_when_sent_again_after_its_correction_then_still_the_stored_one() -> None:
    payload = visit(check())
    first = record_visit(payload=payload, by=None, now=NOW)
    correct(first)
    assert record_visit(payload=payload, by=None, now=NOW).visit == first.visit


def test_correction_when_the_visit_is_already_corrected_then_refused() -> None:
    old = log()
    correct(old)
    with pytest.raises(PayloadError, match="already corrected"):
        correct(old)


def test_correction_when_the_visit_is_of_another_site_then_refused() -> None:
    make_roof("Sorrel Dining", "Mill Lane")
    old = log()
    with pytest.raises(PayloadError, match="Mill Lane has no such visit"):
        correct(old, owner="Sorrel Dining", site="Mill Lane")


def test_correction_when_of_a_correction_then_only_the_last_stands() -> None:
    last = correct(correct(log()))
    assert list(Visit.objects.standing()) == [last.visit]


def test_closing_when_its_finding_is_kept_by_a_correction_then_goes_along() -> None:
    old = log(findings=[FINDING])
    _close(FINDING["id"])
    new = correct(old, findings=[FINDING])
    assert Closing.objects.get().finding.visit == new.visit


def test_closing_when_told_of_a_twice_corrected_finding_then_closes_the_one_that_stands() -> None:
    last = correct(correct(log(findings=[FINDING]), findings=[FINDING]), findings=[FINDING])
    _close(FINDING["id"])
    assert Closing.objects.get().finding.visit == last.visit


def test_answer_when_its_advice_is_kept_by_a_correction_then_goes_along() -> None:
    old = log(recommendations=[ADVICE])
    _answer(ADVICE["id"])
    new = correct(old, recommendations=[ADVICE])
    assert Decision.objects.get().recommendation.visit == new.visit


def test_answer_when_its_advice_is_dropped_by_a_correction_then_cautioned_then_and_again() -> None:
    old = log(recommendations=[ADVICE])
    _answer(ADVICE["id"])
    new = correct(old)
    assert new.cautions == recall_visit(new.visit).cautions == (Caution("answered_advice_dropped"),)
    kept = {**ADVICE, "id": str(uuid4())}
    assert correct(new, recommendations=[kept]).cautions == ()


def test_answer_when_its_advice_was_dropped_before_then_refused_as_it_would_count_for_nothing() -> (
    None
):
    correct(log(recommendations=[ADVICE]))
    with pytest.raises(PayloadError, match="a correction has taken this advice back"):
        _answer(ADVICE["id"])


def test_answer_when_sent_again_after_its_advice_was_dropped_then_the_stored_one() -> None:
    old = log(recommendations=[ADVICE])
    said = {"id": str(uuid4()), **SAID}
    record_decision(payload=said, by=None, now=NOW)
    correct(old)
    assert not record_decision(payload=said, by=None, now=NOW).created


def test_answer_when_given_within_the_visit_then_the_correction_brings_its_own() -> None:
    decision = {"id": str(uuid4()), "answer": "declined", "on": "2026-03-02"}
    advice = {**ADVICE, "decision": decision}
    new = correct(log(recommendations=[advice]), recommendations=[advice])
    assert Decision.objects.filter(visit=new.visit).count() == 1


def test_answer_when_told_on_another_visit_then_goes_along_with_its_advice() -> None:
    old = log(recommendations=[ADVICE])
    log(on="2026-03-05T09:10", decisions=[SAID])
    new = correct(old, recommendations=[ADVICE])
    assert Decision.objects.get().recommendation.visit == new.visit


def test_answer_when_told_on_a_visit_after_the_correction_then_is_to_the_advice_that_stands() -> (
    None
):
    new = correct(log(recommendations=[ADVICE]), recommendations=[ADVICE])
    log(on="2026-03-05T09:10", decisions=[SAID])
    assert Decision.objects.get().recommendation.visit == new.visit


def test_answer_when_told_on_two_visits_and_corrected_then_each_is_kept() -> None:
    log(recommendations=[ADVICE])
    log(on="2026-03-05T09:10", decisions=[SAID])
    second = log(on="2026-04-01T09:10", decisions=[{**SAID, "answer": "go_ahead"}])
    correct(second, decisions=[{**SAID, "answer": "not_now"}])
    assert set(Decision.objects.values_list("answer", flat=True)) == {
        "declined", "go_ahead", "not_now",
    }  # fmt: skip


def test_finding_when_dropped_by_a_correction_then_only_the_old_visit_has_it() -> None:
    old = log(findings=[FINDING])
    correct(old)
    assert Finding.objects.get().visit == old.visit


def test_correction_when_values_are_restored_then_the_same_verdicts() -> None:
    seen = check(seen={"hinge": "loose", "vibration_felt": "slight"})
    first = log(seen)
    last = correct(correct(first, check(seen={"hinge": "broken"})), seen)
    judged = dict(Check.objects.values_list("visit", "judged"))
    assert judged[last.visit.pk] == judged[first.visit.pk]


def _close(finding: str, on: str = "2026-03-05") -> None:
    close_finding(
        payload={
            "id": str(uuid4()), "finding": finding, "closed_on": on, "reason": "seen dry",
        },
        by=None,
        now=NOW,
    )  # fmt: skip


def _answer(advice: str) -> None:
    record_decision(
        payload={
            "id": str(uuid4()), "recommendation": advice, "answer": "declined", "on": "2026-03-05",
        },
        by=None,
        now=NOW,
    )  # fmt: skip


def test_answer_when_to_advice_then_fan_and_subject_are_the_advices() -> None:
    log(recommendations=[ADVICE])
    _answer(ADVICE["id"])
    decision = Decision.objects.get()
    assert (decision.fan.tag, decision.subject, decision.recommendation_id) == (
        "EF-1", "hinge", UUID(ADVICE["id"]),
    )  # fmt: skip


def test_answer_when_to_unknown_advice_then_refused() -> None:
    with pytest.raises(PayloadError, match="no such recommendation"):
        _answer(str(uuid4()))


@pytest.mark.parametrize(("part", "told"), [("fan", "EF-2"), ("subject", "belt")])
def test_answer_when_it_names_other_than_its_advice_then_refused(part: str, told: str) -> None:
    """Of two things told one is wrong, and looks at the wrong fan would come half as often."""
    log(recommendations=[ADVICE])
    log(on="2026-03-05T09:10", decisions=[{**SAID, "fan": "ef-1", "subject": "hinge"}])
    with pytest.raises(PayloadError, match="the advice is on EF-1, hinge") as refused:
        log(on="2026-03-06T09:10", decisions=[{**SAID, part: told}])
    assert refused.value.complaints[0].pointer == f"/decisions/0/{part}"


def test_answer_when_on_a_subject_then_without_advice() -> None:
    payload = {
        "id": str(uuid4()), **PLACE, "fan": "EF-2", "subject": "belt", "answer": "not_now",
        "on": "2026-03-05",
    }  # fmt: skip
    recorded = record_decision(payload=payload, by=None, now=NOW)
    assert (recorded.created, recorded.row.recommendation_id, Recommendation.objects.count()) == (
        True, None, 0,
    )  # fmt: skip


def test_closing_when_sent_again_then_the_stored_one() -> None:
    log(findings=[FINDING])
    payload = {
        "id": str(uuid4()), "finding": FINDING["id"], "closed_on": "2026-03-05", "reason": "dry",
    }  # fmt: skip
    created = [close_finding(payload=payload, by=None, now=NOW).created for _ in range(2)]
    assert (created, Closing.objects.count()) == ([True, False], 1)


def test_closing_when_the_finding_is_closed_then_who_did_it_when_is_told() -> None:
    log(findings=[FINDING])
    theo = Person.objects.create_user("theo")
    payload = {"id": str(uuid4()), "finding": FINDING["id"], "reason": "dry"}
    close_finding(payload={**payload, "closed_on": "2026-03-05"}, by=theo, now=NOW)
    with pytest.raises(PayloadError, match="closed already, on 2026-03-05 by theo") as refused:
        _close(FINDING["id"], "2026-03-06")
    told = [complaint.pointer for complaint in refused.value.complaints]
    assert (told, Closing.objects.count()) == (["/finding"], 1)


def test_closing_when_closed_before_the_visit_was_corrected_then_told_all_the_same() -> None:
    first = log(findings=[FINDING])
    _close(FINDING["id"])
    correct(first, findings=[FINDING])
    with pytest.raises(PayloadError, match="closed already, on 2026-03-05"):
        _close(FINDING["id"], "2026-03-06")


def test_closings_when_two_of_one_finding_in_a_file_then_the_second_is_told() -> None:
    log(findings=[FINDING])
    closing = {"type": "closing", "finding": FINDING["id"], "reason": "dry"}
    lines = [
        {**closing, "id": str(uuid4()), "closed_on": f"2026-03-0{day}"} for day in (5, 6)
    ]  # fmt: skip
    data = "\n".join(map(json.dumps, lines)).encode()
    report = import_visits(file=read_visits(data), name="closed.jsonl", by=None, now=NOW)
    assert [(each.line, each.complaint.problem) for each in report.complaints] == [
        (2, "it was closed already, on 2026-03-05"),
    ]  # fmt: skip


def test_closing_when_in_the_future_then_refused() -> None:
    log(findings=[FINDING])
    payload = {
        "id": str(uuid4()),
        "finding": FINDING["id"],
        "closed_on": "2027-01-01",
        "reason": "x",
    }
    with pytest.raises(PayloadError, match="lies in the future"):
        close_finding(payload=payload, by=None, now=NOW)
