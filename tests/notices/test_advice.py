"""Reminders of advice: after 3, 10 and 21 days, only of what still waits, once a day an owner."""

from __future__ import annotations

import datetime as dt

import pytest

from fleet.models import Agreement, Fan, Owner
from schedules.models import Notice
from tests.notices.letters import ADDRESS, at, overdue_fan, told, write
from tests.schedules.fans import make_fan, walk
from visits.models import Action, Closing, Decision, Finding, Photo, Recommendation

pytestmark = pytest.mark.django_db
VISIT = dt.date(2026, 6, 1)  # a Monday


def advise(
    fan: Fan, on: str = "2026-06-01", subject: str = "curb", **row: object
) -> Recommendation:
    """Advice of a visit that found the curb loose."""
    check = walk(fan, on, {"curb": "act"}, curb="loose")
    type(check.visit).objects.filter(pk=check.visit_id).update(received_at=check.visit.began_at)
    check.visit.inspections.create(system=fan.system, qualified=True)
    Owner.objects.filter(email="").update(email=ADDRESS)
    told = {"text": "Refasten the curb.", "cost": "240", **row}
    return Recommendation.objects.create(visit=check.visit, fan=fan, subject=subject, **told)


def answer(advice: Recommendation, given: str, on: str = "2026-06-02", **row: object) -> None:
    day = dt.date.fromisoformat(on)
    told = {"recommendation": advice, **row}
    Decision.objects.create(
        fan=advice.fan, subject=advice.subject, answer=given, decided_on=day,
        received_at=at(f"{on} 12:00"), **told,
    )  # fmt: skip


def days_written(first: str, last: str, hour: int = 8) -> list[str]:
    """The days on which a reminder was written, where jobs ran once every day."""
    day, end = dt.date.fromisoformat(first), dt.date.fromisoformat(last)
    while day <= end:
        write(at(f"{day} {hour:02}:05"))
        day += dt.timedelta(days=1)
    return [notice.period for notice in told("advice")]


def test_advice_then_reminded_after_3_10_and_21_days() -> None:
    advise(make_fan())
    assert days_written("2026-06-01", "2026-06-29") == ["2026-06-04", "2026-06-11", "2026-06-22"]


@pytest.mark.parametrize(
    ("subject", "reminded"),
    [("curb", []), ("guard", ["2026-06-04", "2026-06-11", "2026-06-22"])],
)
def test_advice_whose_fault_is_closed_with_a_reason_then_asked_no_more(
    subject: str, reminded: list[str]
) -> None:
    row = advise(make_fan())
    found = {"subject": subject, "item": subject, "severity": "degraded", "verdict": "act"}
    finding = Finding.objects.create(visit=row.visit, fan=row.fan, **found)
    closed = {"closed_on": "2026-06-02", "reason": "refastened by the owner's roofer"}
    Closing.objects.create(finding=finding, received_at=at("2026-06-02 12:00"), **closed)
    assert days_written("2026-06-01", "2026-06-29") == reminded


def test_advice_given_anew_after_a_closing_then_asked_again() -> None:
    fan = make_fan()
    row = advise(fan)
    found = {"subject": "curb", "item": "curb", "severity": "degraded", "verdict": "act"}
    finding = Finding.objects.create(visit=row.visit, fan=fan, **found)
    closed = {"closed_on": "2026-06-02", "reason": "refastened by the owner's roofer"}
    Closing.objects.create(finding=finding, received_at=at("2026-06-02 12:00"), **closed)
    advise(fan, "2026-06-03")
    assert days_written("2026-06-01", "2026-06-20") == ["2026-06-08", "2026-06-15"]


@pytest.mark.once
@pytest.mark.parametrize(
    ("visit", "reminded"),
    [
        # Wednesday: the third day is a Saturday, so Monday
        ("2026-06-03", ["2026-06-08", "2026-06-15", "2026-06-24"]),
        # 3 July 2026 is kept for the Fourth (5 U.S.C. 6103(b)): Tuesday's third day is Monday's
        ("2026-06-30", ["2026-07-06", "2026-07-10", "2026-07-21"]),
    ],
)
def test_advice_when_a_stage_falls_on_no_working_day_then_on_the_next(
    visit: str, reminded: list[str]
) -> None:
    advise(make_fan(), visit)
    last = dt.date.fromisoformat(reminded[-1]) + dt.timedelta(days=7)
    assert days_written(visit, f"{last}") == reminded


@pytest.mark.once
def test_advice_when_nothing_ran_then_missed_stages_are_not_sent_beside_a_later_one() -> None:
    advise(make_fan())
    assert days_written("2026-06-12", "2026-06-29") == ["2026-06-12", "2026-06-22"]


def test_advice_when_written_again_the_same_day_then_once() -> None:
    advise(make_fan())
    reports = [write(at(f"2026-06-04 {hour:02}:00")).notices for hour in (8, 9, 16)]
    assert reports == [1, 0, 0]


def test_advice_then_only_in_working_hours_of_the_kitchen() -> None:
    advise(make_fan())
    reports = [write(at(f"2026-06-04 {told}")).notices for told in ("07:59", "17:00", "08:00")]
    assert reports == [0, 0, 1]


def test_advice_of_two_kitchens_then_one_letter_a_day() -> None:
    advise(make_fan("EF-1"))
    advise(make_fan("EF-2"))
    write(at("2026-06-04 08:00"))
    (letter,) = told("advice")
    assert letter.subject == "Your yes or no: advice on exhaust fans at 2 kitchens"
    assert ("EF-1, Roof" in letter.text, "EF-2, Roof" in letter.text) == (True, True)


def test_advice_that_came_in_late_then_reminded_though_its_stage_had_its_letter() -> None:
    advise(make_fan("EF-1"))
    write(at("2026-06-04 08:00"))
    late = advise(make_fan("EF-2"))
    type(late.visit).objects.filter(pk=late.visit_id).update(received_at=at("2026-06-04 12:00"))
    write(at("2026-06-05 08:00"))
    assert "EF-2" in told("advice")[1].text


@pytest.mark.parametrize(
    ("given", "reminded"), [("go_ahead", 0), ("declined", 0), ("not_now", 0), ("question", 1)]
)
def test_advice_when_answered_then_only_a_question_leaves_it_open(
    given: str, reminded: int
) -> None:
    answer(advise(make_fan()), given)
    write(at("2026-06-04 08:00"))
    assert len(told("advice")) == reminded


@pytest.mark.once
def test_advice_when_a_link_was_asked_for_then_a_letter_at_any_hour_and_the_reminders_later() -> (
    None
):
    advice = advise(make_fan())
    answer(advice, "by_link", "2026-06-01", visit=advice.visit)
    write(at("2026-06-01 22:30"))
    days = days_written("2026-06-02", "2026-06-29")
    assert days == [f"link-{advice.visit_id}", "2026-06-04", "2026-06-11", "2026-06-22"]


@pytest.mark.once
def test_advice_when_put_off_then_asked_again_from_its_day() -> None:
    answer(advise(make_fan()), "not_now", not_before=dt.date(2026, 8, 1))
    # 1 August 2026 is a Saturday
    assert days_written("2026-06-02", "2026-06-12") == []
    assert days_written("2026-07-29", "2026-08-27") == ["2026-08-03", "2026-08-11", "2026-08-24"]
    asked = told("advice")[0].text
    assert "You put it off until Sat 1 Aug 2026." in asked
    assert "no answer" not in asked


def test_advice_when_its_subject_is_answered_without_naming_it_then_answered() -> None:
    answer(advise(make_fan()), "declined", recommendation=None)
    write(at("2026-06-04 08:00"))
    assert told("advice") == []


def test_advice_when_an_answer_was_on_a_visit_since_corrected_then_open() -> None:
    advice = advise(make_fan())
    wrong = walk(advice.fan, "2026-06-02").visit
    answer(advice, "go_ahead", visit=wrong)
    right = walk(advice.fan, "2026-06-02").visit
    right.supersedes, right.correction_reason = wrong, "no such answer"
    right.save()
    type(wrong).objects.update(received_at=at("2026-06-02 12:00"))
    advice.fan.checks.filter(visit__in=(wrong, right)).update(judged={"curb": "act"})
    write(at("2026-06-04 08:00"))
    assert len(told("advice")) == 1


def test_advice_when_put_right_then_not_asked() -> None:
    advice = advise(make_fan())
    later = walk(advice.fan, "2026-06-03").visit
    Action.objects.create(visit=later, fan=advice.fan, kind="repaired", item="curb")
    write(at("2026-06-04 08:00"))
    assert told("advice") == []


@pytest.mark.parametrize(("subject", "mails"), [("bearings", 0), ("curb", 1)])
def test_advice_when_the_machine_was_replaced_then_asked_only_of_what_stayed(
    subject: str, mails: int
) -> None:
    advice = advise(make_fan())
    type(advice).objects.update(subject=subject)
    later = walk(advice.fan, "2026-06-03").visit
    advice.fan.checks.filter(visit=later).update(judged={})
    Action.objects.create(visit=later, fan=advice.fan, kind="replaced", item="machine")
    write(at("2026-06-04 08:00"))
    assert len(told("advice")) == mails


@pytest.mark.once
@pytest.mark.parametrize("how", ["onboarding", "old_files"])
def test_advice_when_only_brought_in_then_nobody_is_mailed(how: str) -> None:
    advice = advise(make_fan())
    type(advice.visit).objects.update(here=False)
    if how == "onboarding":
        Fan.objects.update(onboarding_on=dt.date(2026, 7, 1))
    assert days_written("2026-06-01", "2026-06-26") == []


def test_advice_then_says_what_was_found_advised_its_cost_and_what_may_come_of_waiting() -> None:
    advise(make_fan(address="12 Mill Lane"))
    write(at("2026-06-04 08:00"))
    text = told("advice")[0].text
    parts = [
        "EF-1, Roof of EF-1, 12 Mill Lane",
        "Found on Mon 1 Jun 2026:\n    The base on which the fan stands is loose.",
        "We advise:\n    Refasten the curb.",
        "It costs about 240 USD; the bill may differ.",
        "Left so, rain may get into the building or the fan work loose.",
        "go ahead, not now until a day that you name, or no",
        "owner-link:",
    ]
    places = [text.find(part) for part in parts]
    assert -1 not in places
    assert places == sorted(places)


@pytest.mark.parametrize(
    ("limit", "limited"),
    [
        (None, "No spending limit is agreed: it needs your yes."),
        (239, "Above the 239 USD that your agreement lets us spend without asking"),
    ],
)
def test_advice_then_says_that_its_cost_needs_a_yes(limit: int | None, limited: str) -> None:
    fan = make_fan()
    advise(fan)
    owner = fan.site.owner
    Agreement.objects.create(owner=owner, starts_on=dt.date(2026, 1, 1), spending_limit=limit)
    write(at("2026-06-04 08:00"))
    notice = Notice.objects.get(kind="advice")
    assert (limited in notice.text, limited in notice.html) == (True, True)


def test_advice_when_the_agreement_leaves_its_cost_to_us_then_asked_only_once_put_off() -> None:
    fan = make_fan()
    advice = advise(fan)
    starts = dt.date(2026, 1, 1)
    Agreement.objects.create(owner=fan.site.owner, starts_on=starts, spending_limit=240)
    write(at("2026-06-04 08:00"))
    asked = len(told("advice"))
    answer(advice, "not_now", not_before=dt.date(2026, 7, 1))
    write(at("2026-07-01 08:00"))
    assert (asked, len(told("advice"))) == (0, 1)


def test_advice_when_there_are_photos_then_says_where() -> None:
    advice = advise(make_fan())
    write(at("2026-06-04 08:00"))
    Photo.objects.create(
        id=advice.pk, visit=advice.visit, fan=advice.fan, received_at=at("2026-06-01 12:00"),
        payload_sha256="0" * 64, stored_as="x", width=1, height=1, bytes=1,
    )  # fmt: skip
    write(at("2026-06-11 08:00"))
    assert ["Photos of it" in letter.text for letter in told("advice")] == [False, True]


# 22 June 2026 is a Monday and the 21st day: both letters are owed on that morning.
@pytest.mark.parametrize("hour", [8, 16])
def test_advice_when_the_weekly_letter_goes_the_same_day_then_asked_in_one_of_them(
    hour: int,
) -> None:
    advise(overdue_fan())
    write(at("2026-06-22 08:05"))
    Notice.objects.filter(kind="overdue").delete()
    write(at(f"2026-06-22 {hour:02}:35"))
    weekly, own = told("overdue")[-1].text, told("advice")[-1].text
    assert ("Refasten" in weekly, "Refasten" in own) == (False, True)
    assert "one piece of advice: it is in a letter of its own" in weekly


def test_advice_when_no_letter_of_its_own_goes_that_day_then_in_the_weekly_one() -> None:
    advise(overdue_fan())
    for day in ("2026-06-22", "2026-06-29"):
        write(at(f"{day} 08:05"))
    assert "Refasten the curb." in told("overdue")[-1].text


def test_advice_without_a_price_then_says_so() -> None:
    advise(make_fan(), cost=None)
    write(at("2026-06-04 08:00"))
    assert "We have not reckoned yet what it costs; ask us." in told("advice")[0].text
