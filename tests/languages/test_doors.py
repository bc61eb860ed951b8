"""Which doors answer in the language of who is signed in."""

from __future__ import annotations

import pytest

from fleet.models import Person
from tests.api.asking import by_key
from tests.people import signed_in


@pytest.mark.parametrize(
    ("door", "language"),
    [("/api/v1/visits", "es"), ("/api/v1/events", "es"), ("/api/v1/due", None)],
)
def test_door_when_who_comes_speaks_spanish_then_answered_so_where_phones_come(
    theo: Person, door: str, language: str | None
) -> None:
    Person.objects.filter(pk=theo.pk).update(language="es")
    theo.refresh_from_db()
    wish = {"accept-language": "en"}
    answers = [who.get(door, headers=wish) for who in (signed_in(theo), by_key(theo))]
    told = [(each.status_code, each.headers.get("Content-Language")) for each in answers]
    assert told == [(200, language)] * 2
