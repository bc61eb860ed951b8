"""What tests of pages share: a fan on a roof."""

from __future__ import annotations

import pytest
from django.test import Client
from django.utils import timezone

from fleet.models import Fan, Person
from tests.bookings.booked import NOW
from tests.people import signed_in
from tests.visits.roofs import make_roof


@pytest.fixture
def fan(db: None) -> Fan:
    """EF-1 on Olga's roof at Quay Street, beside EF-2."""
    make_roof()
    return Fan.objects.get(tag="EF-1")


@pytest.fixture
def monday_before(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is NOW, the Monday before the week that tests plan."""
    monkeypatch.setattr(timezone, "now", lambda: NOW)


@pytest.fixture
def browser(dana: Person) -> Client:
    """Dana's browser."""
    return signed_in(dana)
