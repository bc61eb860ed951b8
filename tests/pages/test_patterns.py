"""What keeps failing on pages: whom they are for, what they say, how a pattern is closed."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Page

from fleet.models import Fan, Machine, Person
from schedules.models import Pattern
from schedules.patterns.finding import find_patterns
from schedules.wording import day_text
from schedules.wording.patterns import compared_text
from tests.patterns.failing import NOW, advised, failed, pattern_of, tipped
from tests.people import Roofs, sign_in, signed_in
from tests.schedules.fans import walk
from visits.models import Finding

pytestmark = pytest.mark.django_db


def keeps_failing(fan: Fan) -> Pattern:
    """A switch that failed twice, shaking before it the second time, tipped in between."""
    failed(fan, "2025-09-01", failed_on=dt.date(2025, 8, 30), failure_mode="NOO")
    walk(fan, "2026-03-01", {"vibration_felt": "act"})
    tipped(fan, "2026-04-20")
    failed(fan, "2026-05-01")
    find_patterns(now=NOW)
    return Pattern.objects.get()


def text(person: Person, name: str, *args: Any) -> str:
    answer = signed_in(person).get(reverse(name, args=args))
    return " ".join(answer.content.decode().split())


@pytest.mark.parametrize(("who", "status"), [("mara", 200), ("theo", 200), ("olga", 404)])
def test_pages_then_for_the_company_alone(
    roofs: Roofs, who: str, status: int, request: pytest.FixtureRequest
) -> None:
    row = pattern_of(roofs.bakery)
    client = signed_in(request.getfixturevalue(who))
    answers = [
        client.get(reverse("patterns")),
        client.get(reverse("pattern_page", args=[row.pk])),
    ]
    assert [answer.status_code for answer in answers] == [status, status]


def test_list_then_how_often_and_against_what(roofs: Roofs, theo: Person) -> None:
    keeps_failing(roofs.bakery)
    told = text(theo, "patterns")
    assert "Disconnecting switch failed twice in 9 months: the same item again within" in told
    assert "2 failures in 9 months here; 0 in 0.9 fan-years on all others" in told


def test_list_when_its_number_alone_is_no_proof_then_why_in_plain_words(
    roofs: Roofs, theo: Person
) -> None:
    pattern_of(roofs.bakery)
    told = text(theo, "patterns")
    assert "60 times as often (95 %: 3.1 to 3,500). Few failures leave so wide a range" in told
    assert "some fail as often by bad luck alone: by number it could be chance" in told


def test_list_then_crews_with_how_often_fans_were_worse(roofs: Roofs, theo: Person) -> None:
    before, cleaned, after = (
        (timezone.now() - dt.timedelta(days=days)).date() for days in (50, 40, 30)
    )
    walk(roofs.bakery, f"{before}", {"hinge": "within"})
    tipped(roofs.bakery, f"{cleaned}")
    walk(roofs.bakery, f"{after}", {"hinge": "act"})
    told = text(theo, "patterns")
    assert "1 of 1; so few fans say nothing of a crew (95 %: 2 to 100 %)" in told
    assert f"cleaned {day_text(cleaned)}; look before {day_text(before)}" in told


@pytest.mark.parametrize(
    "said",
    [
        "Failed Sat 30 Aug 2025 as recorded, found Mon 1 Sep 2025.",
        "Not known: after Sun 1 Mar 2026, when it was last seen running or the part was",
        "Hood cleaning Mon 20 Apr 2026, by Night crew, this fan tipped, 11 days before.",
        "Disconnecting switch replaced; why it had failed was not written down.",
        "The cause is not determined.",
        "Under 6 failures that says nothing yet.",
    ],
)
def test_pattern_then_what_stood_around_each_failure(roofs: Roofs, theo: Person, said: str) -> None:
    assert said in text(theo, "pattern_page", keeps_failing(roofs.bakery).pk)


def swapped(fan: Fan, on: dt.date, *, since: str) -> None:
    """Another machine from that day on; what failed ``since`` fell on it."""
    first = fan.machines.get()
    first.removed_on = on
    first.save()
    second = Machine.objects.create(fan=fan, installed_on=on)
    Finding.objects.filter(visit__local_on__gte=since).update(machine=second)


def failed_twice(fan: Fan, item: str) -> Pattern:
    for on in ("2025-09-01", "2026-05-01"):
        failed(fan, on, item)
    return pattern_of(fan, item=item)


# Which items go with a machine: DEVELOPERS.md, "A machine replaced"; bearings do, a switch does not
@pytest.mark.parametrize(
    ("item", "said"),
    [
        ("bearings", "One machine has stood here all along: nothing tells it from the position."),
        (
            "switch",
            "The disconnecting switch belongs to the position: it stays when the machine is "
            "replaced. One machine has stood here all along; whether it has a part in these "
            "failures nothing tells.",
        ),
    ],
)
def test_one_machine_all_along_then_only_its_own_parts_leave_that_open(
    roofs: Roofs, theo: Person, item: str, said: str
) -> None:
    told = text(theo, "pattern_page", failed_twice(roofs.bakery, item).pk)
    assert (said in told, told.count("nothing tells")) == (True, 1)


@pytest.mark.parametrize(
    ("item", "said"),
    [
        ("bearings", "Both machines that stood here lost their bearings: that speaks for the posi"),
        (
            "cable",
            "The flexible cable belongs to the position: it stays when the machine is replac",
        ),
        ("cable", "It failed under both machines that stood here: that speaks for the position ra"),
    ],
)
def test_both_machines_failed_then_that_speaks_for_the_position(
    roofs: Roofs, theo: Person, item: str, said: str
) -> None:
    row = failed_twice(roofs.bakery, item)
    swapped(roofs.bakery, dt.date(2025, 12, 1), since="2026-05-01")
    assert said in text(theo, "pattern_page", row.pk)


@pytest.mark.parametrize(
    ("item", "said"),
    [
        ("motor", "All 2 failures fell on one of the 2 machines that stood here; so few do not"),
        ("curb", "All 2 failures fell while one of the 2 machines stood here; so few do not show"),
    ],
)
def test_one_of_two_machines_failed_then_no_part_that_stays_is_called_its_own(
    roofs: Roofs, theo: Person, item: str, said: str
) -> None:
    row = failed_twice(roofs.bakery, item)
    swapped(roofs.bakery, dt.date(2026, 5, 20), since="2026-06-01")
    assert said in text(theo, "pattern_page", row.pk)


def test_advice_that_led_to_nothing_then_told_beside_the_failure_after_it(
    roofs: Roofs, theo: Person
) -> None:
    row = keeps_failing(roofs.bakery)
    advised(roofs.bakery, "2026-03-05", "declined")
    told = text(theo, "pattern_page", row.pk)
    assert "Renew the switch; declined Thu 5 Mar 2026. That one followed the other does" in told
    assert told.count("does not show that it caused it") == 1
    assert "Renew the switch; declined Thu 5 Mar 2026. That" in text(theo, "fan_page", row.fan_id)


def test_cause_told_on_a_visit_then_the_closing_says_where(roofs: Roofs, theo: Person) -> None:
    row = keeps_failing(roofs.bakery)
    failed(roofs.bakery, "2026-05-10", call_back=True, cause="loose_connection")
    find_patterns(now=NOW)
    told = text(theo, "pattern_page", row.pk)
    assert "told on the visit of Sun 10 May 2026. Cause as recorded: a loose or burnt" in told
    assert "not determined.</p>" not in told


def test_counts_then_by_item_model_and_site_with_the_fleets_curve(
    roofs: Roofs, theo: Person
) -> None:
    Machine.objects.update(model="HX 24")
    Fan.objects.update(entered_on=dt.date(2025, 1, 1))
    keeps_failing(roofs.bakery)
    told = text(theo, "patterns")
    assert all(words in told for words in ("HX 24, any item", "2 failures on 1 fan"))
    assert "After 1.3 years under watch a fan had failed" in told
    assert "HX 24, disconnecting switch" in text(theo, "failure_counts", "model")


@pytest.mark.parametrize(
    ("who", "by", "status"),
    [("theo", "site", 200), ("theo", "crew", 404), ("olga", "site", 404)],
)
def test_counts_page_then_for_the_company_and_of_kinds_that_are(
    roofs: Roofs, who: str, by: str, status: int, request: pytest.FixtureRequest
) -> None:
    client = signed_in(request.getfixturevalue(who))
    assert client.get(reverse("failure_counts", args=[by])).status_code == status


@pytest.mark.parametrize("key", ["1.2", "1.2.x", "1.2.99999999999"])
def test_counts_page_when_begun_oddly_then_not_there(mara: Person, key: str) -> None:
    address = reverse("failure_counts", args=["site"])
    assert signed_in(mara).get(f"{address}?after={key}").status_code == 404


def test_fan_page_then_names_the_pattern_to_us_and_not_to_its_owner(
    roofs: Roofs, theo: Person, olga: Person
) -> None:
    row = keeps_failing(roofs.bakery)
    link = reverse("pattern_page", args=[row.pk])
    assert [link in text(who, "fan_page", row.fan_id) for who in (theo, olga)] == [True, False]


@pytest.mark.parametrize(
    ("address", "status"),
    [
        ("?state=closed", 200),
        ("?state=gone", 404),
        ("?after=2026-05-01.7", 200),
        ("?after=soon.7", 404),
        ("?after=2026-05-01.x", 404),
    ],
)
def test_list_when_asked_oddly_then_not_there(mara: Person, address: str, status: int) -> None:
    assert signed_in(mara).get(reverse("patterns") + address).status_code == status


@pytest.mark.parametrize(
    ("who", "told", "status", "state"),
    [
        ("mara", {"cause": "loose screws"}, 302, "closed"),
        ("dana", {"cause": ""}, 409, "open"),
        ("dana", {"cause": "Not known"}, 409, "open"),
        ("dana", {"cause": "not determined", "reason": "watched"}, 409, "open"),
        ("dana", {"cause": "worn", "failures": 3}, 409, "open"),
        ("theo", {"cause": "loose screws"}, 403, "open"),
        ("olga", {"cause": "loose screws"}, 404, "open"),
    ],
)
def test_closing_then_by_who_plans_with_words(
    roofs: Roofs,
    who: str,
    told: dict[str, object],
    status: int,
    state: str,
    request: pytest.FixtureRequest,
) -> None:
    row = pattern_of(roofs.bakery)
    client = signed_in(request.getfixturevalue(who))
    answer = client.post(reverse("close_pattern", args=[row.pk]), {"failures": 2, **told})
    row.refresh_from_db()
    assert (answer.status_code, row.state) == (status, state)


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_pattern_on_a_phone_then_closed_and_readable_to_all(
    roofs: Roofs, mara: Person, page: Page
) -> None:
    sign_in(page, mara)
    row = keeps_failing(roofs.bakery)
    page.goto(reverse("patterns"))
    page.get_by_role("link", name="EF-1, Alder Bakery").click()
    page.get_by_label("Cause that was found").fill("screws loosened")
    page.get_by_role("button", name="Close the pattern").click()
    page.get_by_text("Cause as recorded: screws loosened.").wait_for()
    found = Axe().run(page)
    assert (found.violations_count, page.evaluate("document.body.scrollWidth")) == (0, 360), (
        found.generate_report()
    )
    row.refresh_from_db()
    assert row.state == "closed"


def test_list_when_failures_lie_years_apart_then_years_are_told(roofs: Roofs, theo: Person) -> None:
    pattern_of(roofs.bakery, first_on="2020-05-01", by_rate=True)
    assert "failed twice in 6.0 years: more often than chance" in text(theo, "patterns")


@pytest.mark.parametrize(("lower", "barely"), [(0.92, True), (1.8, False)])
def test_pattern_by_number_when_its_range_holds_no_difference_then_says_so(
    roofs: Roofs, lower: float, barely: bool
) -> None:
    """*More often than chance would leave* beside *at least 0.92 times* contradicts itself."""
    row = pattern_of(roofs.bakery, by_rate=True)
    row.figures |= {"ratio": None, "upper": None, "lower": lower}
    assert ("its own range still holds no difference" in compared_text(row)) is barely
