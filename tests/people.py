"""The people of our tests.

Mara manages, Dana dispatches, Theo climbs, Olga owns two sites, Sam is a stranger.
"""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from django.test import Client
from playwright.sync_api import Page

from fleet.models import Fan, Owner, Person
from tests.schedules.fans import make_fan


@dataclass(frozen=True)
class Roofs:
    """Olga's fans on two sites, and the one fan of Sam's."""

    bakery: Fan
    canteen: Fan
    diner: Fan

    @property
    def all(self) -> tuple[Fan, ...]:
        return (self.bakery, self.canteen, self.diner)


def lay_roofs() -> Roofs:
    """Three sites of two owners, a fan on each, entered on 1 January 2026."""
    fans = Roofs(*(make_fan(tag) for tag in ("EF-1", "EF-2", "EF-3")))
    dory = Owner.objects.create(name="Dory's Diner")
    for fan, name in zip(fans.all, ("Alder Bakery", "Alder Canteen", "Dory's Roof"), strict=True):
        fan.site.name = name
        fan.site.owner = dory if fan is fans.diner else fan.site.owner
        fan.site.save()
    return fans


def owner_of(fan: Fan, name: str) -> Person:
    """Somebody of that name who owns the fan."""
    return Person.objects.create_user(name, role=Person.Role.OWNER, owner=fan.site.owner)


@pytest.fixture
def roofs(db: None) -> Roofs:
    """Olga's roofs and Sam's."""
    return lay_roofs()


@pytest.fixture
def mara(db: None) -> Person:
    """Mara, who manages."""
    return Person.objects.create_user("mara", role=Person.Role.MANAGER)


@pytest.fixture
def dana(db: None) -> Person:
    """Dana, who dispatches."""
    return Person.objects.create_user("dana", role=Person.Role.DISPATCHER)


@pytest.fixture
def theo(db: None) -> Person:
    """Theo, a technician."""
    return Person.objects.create_user("theo", role=Person.Role.TECHNICIAN)


@pytest.fixture
def olga(roofs: Roofs) -> Person:
    """Olga, who owns the bakery and the canteen."""
    return owner_of(roofs.bakery, "olga")


@pytest.fixture
def sam(roofs: Roofs) -> Person:
    """Sam, who owns the diner and nothing else."""
    return owner_of(roofs.diner, "sam")


def signed_in(person: Person) -> Client:
    """A browser in which somebody has signed in."""
    client = Client()
    client.force_login(person)
    return client


def sign_in(page: Page, person: Person) -> None:
    """Give a real browser somebody's session."""
    session = signed_in(person).cookies["sessionid"].value
    page.context.add_cookies(
        [{"name": "sessionid", "value": session, "domain": "localhost", "path": "/"}]
    )
