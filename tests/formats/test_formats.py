"""What leaves this project has the formats it claims, by checkers held against known documents."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from openapi_spec_validator import OpenAPIV31SpecValidator
from pytest_django.fixtures import Settings

from schedules.bookings.calendar import calendar_of
from schedules.notices.addressees import is_working_day
from schedules.notices.sending import send_notices
from schedules.weeks import iso_week
from tests.api.asking import V1
from tests.bookings.booked import NOW, booked, technician
from tests.formats.checks import case, is_calendar, is_geojson, is_one_click, is_problem
from tests.notices.letters import MONDAY, mail_server, overdue_fan, write
from tests.schedules.fans import make_fan


def is_openapi(document: Any) -> bool:
    return not list(OpenAPIV31SpecValidator(document).iter_errors())


@pytest.mark.parametrize(
    ("name", "given", "checker"),
    [
        ("FO-01", "documents", is_geojson),
        ("FO-03", "documents", is_calendar),
        ("FO-06", "documents", is_openapi),
        ("FO-08", "documents", is_problem),
        ("FO-10", "messages", is_one_click),
    ],
)
def test_checker_when_asked_of_known_documents_then_knows_which_are_valid(
    name: str, given: str, checker: Callable[[Any], bool]
) -> None:
    inputs, expected = case(name)
    assert {told: checker(each) for told, each in inputs[given].items()} == expected


def test_week_when_named_around_new_year_then_by_iso_8601() -> None:
    inputs, expected = case("CA-19")
    days = [dt.date.fromisoformat(day) for day in inputs["dates"]]
    assert [f"{iso_week(day)}-{day.isoweekday()}" for day in days] == expected["iso_week_dates"]


def test_letters_when_a_federal_holiday_then_rest() -> None:
    inputs, expected = case("CA-21")
    days = [dt.date(inputs["year"], 1, 1) + dt.timedelta(days=count) for count in range(365)]
    rest = [day for day in days if day.isoweekday() < 6 and not is_working_day(day, "US")]
    assert [day.isoformat() for day in rest] == expected["closed_dates"]


@pytest.mark.django_db
def test_calendar_of_a_booking_when_checked_then_valid() -> None:
    assert is_calendar(calendar_of([booked(make_fan().site, technician())], NOW))


@pytest.mark.django_db
@pytest.mark.parametrize("path", ["/fans/0", "/nothing", "/due"])
def test_problem_when_answered_then_valid_and_of_its_status(path: str) -> None:
    answer = Client().get(V1 + path)
    assert answer["Content-Type"] == "application/problem+json"
    assert (is_problem(answer.json()), answer.json()["status"]) == (True, answer.status_code)


@pytest.mark.django_db
def test_digest_when_sent_then_left_by_one_click(settings: Settings) -> None:
    settings.PUBLIC_URL = "https://fans.alder.example"
    overdue_fan()
    write(MONDAY)
    with mail_server() as inbox:
        send_notices(clock=lambda: MONDAY)
    names = {
        "list_unsubscribe": "List-Unsubscribe",
        "list_unsubscribe_post": "List-Unsubscribe-Post",
    }
    assert is_one_click({key: inbox.taken[0][header] for key, header in names.items()})
