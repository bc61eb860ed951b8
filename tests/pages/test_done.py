"""Planned and done: who sees which figures, the stops behind them, reasons given, the file."""

from __future__ import annotations

import csv
import io
from uuid import uuid4

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from playwright.sync_api import Page

from fleet.models import Person, Site
from schedules.models import PlannedStop, StopReason
from tests.bookings.booked import technician
from tests.done.promises import day, missed, monday_after, publish  # noqa: F401
from tests.pages.test_due_list import text_of
from tests.people import sign_in, signed_in
from tests.schedules.fans import make_fan, walk

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("monday_after")]
WEEK = "first=2026-W49&last=2026-W49"


@pytest.fixture
def week(theo: Person) -> list[PlannedStop]:
    """Of Theo's three fans one was walked, one not reached, one forgotten; Jo's was forgotten."""
    fans = [make_fan(f"EF-{number}") for number in range(1, 5)]
    made = publish(*((fan, "tue", theo) for fan in fans[:3]), (fans[3], "wed", technician()))
    walk(fans[0], day("tue").isoformat())
    missed(fans[1], day("tue"), "weather")
    return made


def seen(client: Client, address: str) -> str:
    return text_of(client.get(address))


def say(client: Client, stop: PlannedStop, **told: str) -> tuple[int, str]:
    """What comes of a reason sent by the form."""
    sent = {"id": str(uuid4()), "reason": "no_time", "back": WEEK, **told}
    answer = client.post(f"/done/stops/2026-W49/{stop.key}/why", sent)
    return answer.status_code, answer.get("Location") or text_of(answer)


@pytest.mark.parametrize("address", ["/done/", "/done/stops/", "/done/planned.csv"])
@pytest.mark.parametrize(("who", "status"), [("mara", 200), ("dana", 200), ("theo", 200),
                                             ("olga", 404)])  # fmt: skip
def test_figures_then_for_the_companys_own_people(
    who: str, status: int, address: str, request: pytest.FixtureRequest
) -> None:
    answer = signed_in(request.getfixturevalue(who)).get(address)
    assert answer.status_code == status


@pytest.mark.parametrize(
    ("who", "told"),
    [
        ("dana", "1 of 4 done, 1 by their day, 1 on time; 1 not done with a reason, 2 without"),
        ("theo", "1 of 3 done, 1 by their day, 1 on time; 1 not done with a reason, 1 without"),
    ],
)
def test_figures_then_all_for_planners_and_their_own_for_technicians(
    who: str, told: str, week: list[PlannedStop], request: pytest.FixtureRequest
) -> None:
    assert told in seen(signed_in(request.getfixturevalue(who)), f"/done/?{WEEK}")


def test_stops_when_a_technician_names_another_then_their_own_all_the_same(
    week: list[PlannedStop], theo: Person
) -> None:
    other = week[3].round.technician_id
    assert "EF-4" not in seen(signed_in(theo), f"/done/stops/?{WEEK}&technician={other}")


@pytest.mark.parametrize(
    ("asked", "tags"),
    [
        ("", {"EF-1", "EF-2", "EF-3", "EF-4"}),
        ("&outcome=not_done", {"EF-2", "EF-3", "EF-4"}),
        ("&outcome=excused&reason=weather", {"EF-2"}),
        ("&outcome=silent", {"EF-3", "EF-4"}),
        ("&outcome=kept", {"EF-1"}),
    ],
)
def test_stops_when_narrowed_then_those_behind_the_figure(
    asked: str, tags: set[str], week: list[PlannedStop], dana: Person
) -> None:
    text = seen(signed_in(dana), f"/done/stops/?{WEEK}{asked}")
    assert {tag for tag in ("EF-1", "EF-2", "EF-3", "EF-4") if f"{tag} " in text} == tags


@pytest.mark.parametrize("asked", ["first=2026-W60", "site=x", "outcome=fine", "from=-1"])
def test_stops_when_asked_for_what_nobody_can_mean_then_404(asked: str, dana: Person) -> None:
    assert signed_in(dana).get(f"/done/stops/?{asked}").status_code == 404


def test_reason_when_sent_then_noted_and_back_to_the_same_stops(
    week: list[PlannedStop], theo: Person
) -> None:
    client = signed_in(theo)
    status, where = say(client, week[2], note="late at the last roof")
    assert (status, where) == (302, f"/done/stops/?{WEEK}&technician={theo.pk}#stop-{week[2].key}")
    assert "not done: no time left (late at the last roof)" in seen(client, where)


def test_reason_when_it_says_nothing_then_told_at_its_field(
    week: list[PlannedStop], dana: Person
) -> None:
    told = [say(signed_in(dana), week[2], reason=reason) for reason in ("", "other")]
    assert [status for status, _ in told] == [409, 409]
    assert "Choose a reason." in told[0][1]
    assert "write what it was" in told[1][1]


def test_reason_when_of_anothers_stop_then_404_and_of_none_for_owners(
    olga: Person, theo: Person, week: list[PlannedStop]
) -> None:
    told = [say(signed_in(who), week[3])[0] for who in (theo, olga)]
    assert (told, StopReason.objects.count()) == ([404, 404], 0)


def test_file_then_holds_every_promise_and_no_formula(
    week: list[PlannedStop], dana: Person
) -> None:
    Site.objects.filter(pk=week[0].site_id).update(name="=1+1")
    answer = signed_in(dana).get(f"/done/planned.csv?{WEEK}")
    rows = list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert [(row["fan"], row["outcome"], row["reason"]) for row in rows] == [
        ("EF-1", "done by its day", ""), ("EF-2", "not done, with a reason", "weather"),
        ("EF-3", "not done, no word why", ""), ("EF-4", "not done, no word why", ""),
    ]  # fmt: skip
    assert rows[0]["site"] == "'=1+1"


def test_figures_when_there_is_more_then_no_more_is_asked(dana: Person, theo: Person) -> None:
    client, counts = signed_in(dana), []
    for number in (1, 2):
        fans = [make_fan(f"EF-{number}-{each}") for each in range(3 * number)]
        publish(*((fan, "tue", theo) for fan in fans), weeks=number - 1)
        missed(fans[0], day("tue", number - 1))
        each = []
        for address in ("/done/", "/done/stops/"):
            with CaptureQueriesContext(connection) as asked:
                client.get(f"{address}?first=2026-W48&last=2026-W50")
            each.append(len(asked))
        counts.append(each)
    assert counts[0] == counts[1]


@pytest.mark.browser
def test_pages_when_read_by_a_browser_then_nothing_is_found_against_them(
    page: Page, live_server: object, week: list[PlannedStop], dana: Person
) -> None:
    sign_in(page, dana)
    for address in ("/done/", "/done/stops/"):
        page.goto(f"{live_server}{address}?{WEEK}")
        assert Axe().run(page).response["violations"] == []
        assert page.evaluate("document.documentElement.scrollWidth") <= 360
