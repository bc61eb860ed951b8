"""A phone says in whose name it sends; between its asking and its sending somebody may sign in."""

from __future__ import annotations

import pytest
from django.test import Client

from fleet.models import Fan, Person
from tests.people import signed_in
from tests.visits.roofs import check, visit
from visits.models import Visit

pytestmark = pytest.mark.django_db


def send(client: Client, person: Person) -> int:
    """The status of a queue of one record, logged by that person."""
    body = {"records": [visit(check())]}
    answer = client.post(
        "/api/v1/visits/batch", body, "application/json", headers={"Round-Person": str(person.pk)}
    )
    return answer.status_code


def test_batch_when_logged_by_another_than_is_signed_in_then_409_and_nothing_stored(
    fan: Fan, theo: Person, dana: Person
) -> None:
    assert (send(signed_in(dana), theo), Visit.objects.count()) == (409, 0)
    assert (send(signed_in(theo), theo), Visit.objects.count()) == (200, 1)
