"""The sheet that ``plan_rounds`` prints, and what it refuses."""

from __future__ import annotations

import json
from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from schedules.due.reckoning import reckon_fleet
from schedules.models import Booking
from tests.bookings.booked import NOW, planner, technician
from tests.rounds.weeks import due_fan, park
from tests.schedules.fans import make_fan

pytestmark = pytest.mark.django_db
WEEK = "2098-W50"


def printed(**options: Any) -> str:
    said = StringIO()
    told = {"week": WEEK, "iterations": 20, **options}
    call_command("plan_rounds", stdout=said, **told)
    return said.getvalue()


def test_sheet_when_printed_then_says_who_where_when_and_why() -> None:
    due_fan(1)
    park()
    reckon_fleet(now=NOW, only_stale=False)
    told = printed()
    assert "Week 2098-W50, Mon 8 Dec 2098 – Sun 14 Dec 2098: draft, revision 1" in told
    assert "  Jo Park: " in told
    assert "EF-1 walk-through + code inspection" in told
    assert "why: overdue. EF-1: Code inspection" in told


def test_sheet_when_something_cannot_be_reached_then_named_with_the_place_to_fix() -> None:
    make_fan()
    park()
    technician("Ned Stow")
    reckon_fleet(now=NOW, only_stale=False)
    told = " ".join(printed().split())
    assert "Roof of EF-1 has no coordinates; enter them in the admin, Sites." in told
    assert "Not sent: N. Stow has no home base and working hours" in told
    assert "the site has no coordinates" in told


def test_sheet_when_asked_as_json_then_read_back() -> None:
    fan = due_fan(1)
    able = park()
    reckon_fleet(now=NOW, only_stale=False)
    told = json.loads(printed(json=True))
    stop = told["rounds"][0]["stops"][0]
    assert (told["week"], told["rounds"][0]["technician"]["id"]) == (WEEK, able.pk)
    assert (stop["site"]["id"], stop["broken"]) == (fan.site_id, [])


def test_round_when_back_after_the_shift_then_says_by_how_long() -> None:
    due_fan(1, roof_access_hours=[[[870, 960]]] * 7)
    park(overtime_minutes=60)
    reckon_fleet(now=NOW, only_stale=False)
    told = json.loads(printed(json=True))["rounds"][0]
    assert told["past_shift_minutes"] == told["back_minute"] - 930 > 0
    assert told["overtime_minutes"] == told["past_shift_minutes"]
    assert "reserve used" not in printed()
    assert (
        f"back {told['past_shift_minutes']} min after the shift's end, overtime that is allowed"
        in printed()
    )


@pytest.mark.parametrize(
    ("options", "told"),
    [
        ({"week": "next"}, "'next' is no week; write the year and the ISO week as in 2026-W50"),
        ({"week": "2026-W54"}, "'2026-W54' is no week"),
        ({"week": "2027-W53"}, "2027 has no week 53; its last is 2027-W52"),
        ({"week": "2020-W10"}, "2020-W10 is past"),
        ({}, "there is no technician with a home base"),
        ({"iterations": -1}, "--iterations is -1"),
        ({"iterations": None, "seconds": 0.0}, "--seconds is 0"),
        ({"publish": True}, "say who does with --by"),
        ({"publish": True, "by": "nemo"}, "'nemo' is nobody who plans; those who do: none yet"),
    ],
)
def test_command_when_asked_what_it_cannot_do_then_says_so(
    options: dict[str, Any], told: str
) -> None:
    with pytest.raises(CommandError, match=told):
        printed(**options)


def test_command_when_told_to_publish_then_a_booking_too_far_ahead_is_refused_in_words() -> None:
    due_fan(1)
    park()
    reckon_fleet(now=NOW, only_stale=False)
    with pytest.raises(CommandError, match="more than a year away"):
        printed(publish=True, by=planner().username)
    assert not Booking.objects.exists()
