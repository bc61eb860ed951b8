"""The due list of one's own fleet at a terminal, narrowed, and as data."""

from __future__ import annotations

import json
from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from schedules.due.reckoning import reckon_fleet
from schedules.models import DueState
from tests.people import Roofs
from tests.schedules.fans import NOW, make_fan, walk

pytestmark = pytest.mark.django_db


@pytest.fixture
def fleet(roofs: Roofs) -> Roofs:
    """Three fans reckoned; a guard is off at the bakery."""
    walk(roofs.bakery, "2026-06-01", {"guard": "stop"}, guard="off")
    reckon_fleet(now=NOW)
    return roofs


def listed(**asked: Any) -> str:
    out = StringIO()
    call_command("due_list", stdout=out, **asked)
    return out.getvalue()


def tags(**asked: Any) -> list[str]:
    return [line["fan"]["tag"] for line in json.loads(listed(json=True, **asked))]


def test_list_then_every_fan_with_what_drives_its_date(fleet: Roofs) -> None:
    told = listed()
    assert all(site.site.name in told for site in fleet.all)
    assert "The guard is off: moving parts are within reach" in told
    assert told.splitlines()[-1].startswith("3 fans are overdue")


@pytest.mark.parametrize(
    ("asked", "expected"),
    [
        ({}, ["EF-1", "EF-2", "EF-3"]),
        ({"owner": "dory's diner"}, ["EF-3"]),
        ({"site": "Alder Canteen"}, ["EF-2"]),
        ({"most": 1}, ["EF-1"]),
    ],
)
def test_list_as_data_when_narrowed_then_those_fans(
    fleet: Roofs, asked: dict[str, Any], expected: list[str]
) -> None:
    assert tags(**asked) == expected


def test_list_when_narrowed_by_day_then_those_fans(fleet: Roofs) -> None:
    DueState.objects.filter(fan=fleet.diner).update(due_on="2199-01-01", overdue_after="2199-01-15")
    assert (tags(within=30), tags(overdue=True)) == (["EF-1", "EF-2"], ["EF-1", "EF-2"])


def test_list_when_narrowed_then_its_counts_too(fleet: Roofs) -> None:
    assert listed(owner="Dory's Diner").splitlines()[-1].startswith("1 fan is overdue")


def test_list_when_a_fan_has_no_date_then_it_is_counted(fleet: Roofs) -> None:
    make_fan("EF-9")
    assert "1 fan has no date" in listed()


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ({"owner": "Alder Kitchen"}, "no owner is called 'Alder Kitchen'; did you mean 'Alder K"),
        ({"site": "Nowhere"}, "no site is called 'Nowhere'; names are as in the register"),
        ({"within": -1}, "--within is -1; give 0 to 3660 days"),
        ({"most": 0}, "--most is 0; give 1 to 5000"),
    ],
)
def test_list_when_asked_wrongly_then_a_sentence(
    fleet: Roofs, asked: dict[str, Any], told: str
) -> None:
    with pytest.raises(CommandError, match=told):
        listed(**asked)


def test_list_when_two_owners_have_a_site_of_that_name_then_asks_for_the_owner(
    fleet: Roofs,
) -> None:
    fleet.diner.site.name = "Alder Canteen"
    fleet.diner.site.save()
    with pytest.raises(CommandError, match="give --owner as well"):
        listed(site="Alder Canteen")
    assert tags(site="Alder Canteen", owner="Dory's Diner") == ["EF-3"]
