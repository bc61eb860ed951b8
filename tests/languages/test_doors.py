"""Which doors answer in the language of who is signed in."""

from __future__ import annotations

import pytest

from fleet.models import Person
from tests.people import signed_in


@pytest.mark.parametrize(("door", "language"), [("/api/v1/visits", "es"), ("/api/v1/due", None)])
def test_door_when_who_comes_speaks_spanish_then_answered_so_where_phones_come(
    theo: Person, door: str, language: str | None
) -> None:
    Person.objects.filter(pk=theo.pk).update(language="es")
    answer = signed_in(theo).get(door)
    assert (answer.status_code, answer.headers.get("Content-Language")) == (200, language)
