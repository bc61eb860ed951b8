"""Demo logins: fresh at every asking, only for the demo's own people."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from django.test import Client

from fleet.models import Owner, Person
from schedules.demo.logins import PEOPLE, Login, demo_logins, make_people

NOW = datetime(2026, 6, 15, 12, tzinfo=UTC)
pytestmark = pytest.mark.django_db


@pytest.fixture
def people() -> None:
    Owner.objects.create(name="Tannevale Dining")
    make_people(now=NOW)


def may_enter(login: Login) -> bool:
    """Whether the login page takes the name and the password."""
    told = {"username": login.username, "password": login.password}
    return Client().post("/login/", told).status_code == 302


def test_demo_logins_without_a_demo_are_none() -> None:
    assert demo_logins() == []


def test_demo_logins_let_every_person_in(people: None) -> None:
    assert [may_enter(login) for login in demo_logins()] == [True] * len(PEOPLE)


def test_demo_logins_asked_again_end_the_old_passwords(people: None) -> None:
    old = demo_logins()[0]
    demo_logins()
    assert not may_enter(old)


def test_demo_logins_leave_a_namesake_alone(people: None) -> None:
    Person.objects.filter(username="dov").update(email="dov@kitchens.example")
    assert "dov" not in [login.username for login in demo_logins()]


def test_make_people_again_adds_nobody(people: None) -> None:
    assert make_people(now=NOW) == 0
