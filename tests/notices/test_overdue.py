"""Who is owed an overdue letter, when, and what it says."""

from __future__ import annotations

import datetime as dt

import pytest
from pytest_django.fixtures import Settings

from fleet.models import Agreement, Fan, Owner, Person
from fleet.services.links import make_link
from schedules.models import Notice
from tests.bookings.booked import booked, technician
from tests.notices.letters import ADDRESS, MONDAY, overdue_fan, write
from tests.schedules.fans import make_fan, walk
from visits.models import Action, Decision, Recommendation, RunningTold

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)


def text() -> str:
    return letter().text


def letter() -> Notice:
    return Notice.objects.get(kind="overdue")


def advise(fan: Fan, subject: str = "curb") -> Recommendation:
    visit = fan.checks.get().visit
    return Recommendation.objects.create(
        visit=visit, fan=fan, subject=subject, text="Renew the curb.", cost="240"
    )


def test_letter_when_a_fan_is_overdue_then_owed_to_its_owner_once_a_week() -> None:
    overdue_fan()
    counts = [write(MONDAY + days * DAY).notices for days in (0, 0, 1, 4, 7)]
    assert (counts, [n.address for n in Notice.objects.all()]) == ([1, 0, 0, 0, 1], [ADDRESS] * 2)


# ISO 8601: 2026 begins on a Thursday and so has 53 weeks; Saturday 2 January 2027 is in the last.
@pytest.mark.parametrize(
    ("on", "week"),
    [("2026-12-28", "2026-W53"), ("2026-12-31", "2026-W53"), ("2027-01-04", "2027-W01")],
)
def test_letter_at_new_year_then_of_the_iso_week(on: str, week: str) -> None:
    overdue_fan()
    write(dt.datetime.fromisoformat(f"{on}T15:00+00:00"))
    assert Notice.objects.get().period == week


# 8 in the morning in Chicago is 13 o'clock UTC in June, 14 in January.
@pytest.mark.parametrize(
    ("at", "letters"),
    [
        ("2026-06-15T12:59", 0),
        ("2026-06-15T13:00", 1),
        ("2026-06-15T21:59", 1),
        ("2026-06-15T22:00", 0),
        ("2026-06-20T15:00", 0),
        ("2027-01-04T13:30", 0),
        ("2027-01-04T14:00", 1),
    ],
)
def test_letter_then_written_in_working_hours_of_the_kitchen(at: str, letters: int) -> None:
    overdue_fan()
    assert write(dt.datetime.fromisoformat(f"{at}+00:00")).notices == letters


def test_letter_when_nothing_is_overdue_then_none() -> None:
    walk(make_fan(), "2026-06-01").visit.inspections.create(
        system=Fan.objects.get().system, qualified=True
    )
    Owner.objects.update(email=ADDRESS)
    assert write().notices == 0


@pytest.mark.parametrize(("here", "letters"), [(False, 0), (True, 1)])
def test_letter_when_a_fan_at_a_stop_is_onboarding_then_only_once_seen_here(
    here: bool, letters: int
) -> None:
    fan = overdue_fan()
    Fan.objects.update(onboarding_on=MONDAY.date() + 20 * DAY)
    check = walk(fan, "2026-06-10", {"guard": "stop"}, guard="off")
    fan.checks.update()
    type(check.visit).objects.update(here=here)
    write()
    assert Notice.objects.filter(kind="overdue").count() == letters


def test_letter_when_the_owner_has_no_address_then_told() -> None:
    overdue_fan()
    Owner.objects.update(email="")
    assert (write().unreachable, Notice.objects.count()) == (["Alder Kitchens"], 0)


def test_letter_when_only_a_contact_has_an_address_then_goes_there() -> None:
    owner = overdue_fan().site.owner
    Owner.objects.update(email="")
    for name in ("olga", "otto"):
        Person.objects.create_user(name, f"{name}@alder.example", role="owner", owner=owner)
    write()
    assert Notice.objects.get().address == "olga@alder.example"


def test_letter_then_names_fan_kitchen_days_and_reason() -> None:
    overdue_fan(address="12 Mill Lane")
    write()
    told = Notice.objects.get()
    assert told.subject == "Overdue: exhaust fan EF-1 at Roof of EF-1"
    # overdue after 1 April + 14 days; 15 June is 61 days later, counted on a calendar
    assert "  EF-1: overdue by 61 days\n    Last inspected completely on Sun 1 Feb" in told.text
    assert "Roof of EF-1, 12 Mill Lane" in told.text


def test_letter_of_many_then_counts_fans_and_kitchens() -> None:
    overdue_fan("EF-1")
    overdue_fan("EF-2")
    write()
    assert Notice.objects.get().subject == "Overdue: 2 exhaust fans at 2 kitchens"


def test_letter_then_says_nothing_of_another_owner() -> None:
    fan = overdue_fan("EF-1")
    other = overdue_fan("KX-9")
    fan.site.owner = Owner.objects.create(name="Dory's Diner", email="dory@diner.example")
    fan.site.save()
    write()
    told = {notice.address: notice.text for notice in Notice.objects.all()}
    assert [other.tag in told[ADDRESS], fan.tag in told[ADDRESS]] == [True, False]


def test_letter_when_a_name_holds_line_breaks_then_its_subject_is_one_line() -> None:
    fan = overdue_fan()
    fan.site.name = "Mill\r\nBcc: all@else.example"
    fan.site.save()
    write()
    assert Notice.objects.get().subject == "Overdue: exhaust fan EF-1 at Mill Bcc: all@else.example"


def test_letter_when_a_name_holds_markup_then_it_is_shown_as_typed() -> None:
    fan = overdue_fan()
    fan.site.name = "<script>alert(1)</script>"
    fan.site.save()
    write()
    told = Notice.objects.get()
    assert ("<script>" in told.text, "<script>" in told.html) == (True, False)


def test_letter_when_visits_bought_are_made_then_asks_for_a_yes() -> None:
    owner = overdue_fan().site.owner
    Agreement.objects.create(owner=owner, starts_on=dt.date(2026, 1, 1), visits_per_year=1)
    write()
    told = text()
    assert ("WE OWE YOU" in told, "A visit there needs your yes" in told) == (False, True)


def test_advice_when_nobody_answered_then_asked_with_its_cost() -> None:
    advise(overdue_fan())
    write()
    assert "Renew the curb.\n    About 240 USD." in text()


@pytest.mark.parametrize(
    ("answer", "asked"),
    [("go_ahead", False), ("not_now", False), ("declined", False), ("question", True)],
)
def test_advice_when_answered_then_not_asked_again(answer: str, asked: bool) -> None:
    fan = overdue_fan()
    Decision.objects.create(
        fan=fan, recommendation=advise(fan), subject="curb", answer=answer,
        decided_on=MONDAY.date(), received_at=MONDAY,
    )  # fmt: skip
    write()
    assert ("Renew the curb" in text()) == asked


@pytest.mark.parametrize("how", ["repaired", "seen"])
def test_advice_when_what_it_was_about_is_put_right_then_not_asked(how: str) -> None:
    fan = overdue_fan()
    advise(fan)
    later = walk(fan, "2026-03-01", {"curb": "within"} if how == "seen" else {})
    if how == "repaired":
        Action.objects.create(visit=later.visit, fan=fan, kind="repaired", item="curb")
    write()
    assert "Renew the curb" not in text()


def test_stop_then_stands_first_and_says_what_it_means() -> None:
    overdue_fan("EF-1")
    walk(overdue_fan("EF-2"), "2026-03-01", {"guard": "stop"}, guard="off")
    write()
    parts = ["A fan marked STOP stays off", "STOP: The guard is off", "EF-1: overdue"]
    places = [text().find(part) for part in parts]
    assert (-1 in places, places) == (False, sorted(places))


def test_letter_of_many_kitchens_then_the_worst_in_full_and_the_rest_in_a_line_each() -> None:
    for number in range(14):
        fan = make_fan(f"EF-{number}")
        day = dt.date(2026, 2, 1) + number * DAY
        walk(fan, str(day)).visit.inspections.create(system=fan.system, qualified=True)
    Owner.objects.update(email=ADDRESS)
    write()
    whole, brief = text().split("Others, of which your page tells more:\n")
    assert [f"\n  EF-{n}: overdue" in whole for n in range(14)] == [True] * 12 + [False] * 2
    assert brief.startswith("  Roof of EF-12: EF-12 overdue by 49 days.\n  Roof of EF-13: EF-13 ")


# By hand: nothing failed in 134 days of record, so the rate is exponential over 0.367 + 3.333
# years; its tenths are -ln 0.9 / 3.7 = 0.0285 and -ln 0.1 / 3.7 = 0.622 a year.  28 days ahead
# 1 - exp(-rate x 0.0767) is 0.00218 and 0.0466; x 0.6 x 8 h x 500 = 5.2 and 111.8; 5 to 200.
def test_letter_then_says_what_waiting_costs_in_the_install_s_currency(settings: Settings) -> None:
    settings.CURRENCY = "CAD"
    overdue_fan()
    write()
    assert (
        "    Waiting another 4 weeks costs roughly 5 to 200 CAD on average; a failure meanwhile, "
        "about 4,000 CAD (our choice).\n"
    ) in text()


def test_letter_when_the_kitchen_says_a_fan_stands_then_what_that_means_and_no_price() -> None:
    fan = overdue_fan()
    link = make_link(owner=fan.site.owner, now=MONDAY)
    RunningTold.objects.create(
        fan=fan, link=link, answer="not_running", told_by="B. Cook", told_on=MONDAY.date(),
        received_at=MONDAY,
    )  # fmt: skip
    write()
    told = text()
    assert "    Your kitchen said on Mon 15 Jun 2026 that it is not running (B. Cook)." in told
    assert "on average" not in told


def test_letter_when_a_technician_is_booked_then_says_when_and_not_who() -> None:
    site = overdue_fan().site
    booked(site, technician(), MONDAY.date() + 2 * DAY, now=MONDAY)
    write()
    told = text()
    assert "  A technician is coming on Wed 17 Jun 2026, 9:00–11:00.\n" in told
    assert "Waiting until the visit on Wed 17 Jun 2026 costs roughly" in told
    assert ("Park" in told, "settled yet" in told) == (False, False)


def test_letter_when_one_kitchen_of_two_is_booked_then_asks_for_hours_of_the_other() -> None:
    booked(overdue_fan().site, technician(), MONDAY.date() + 2 * DAY, now=MONDAY)
    overdue_fan("EF-2")
    write()
    assert "Where no day is named none is settled yet" in text()
