"""The register edited and the record written at the same moment: nobody is sent away for it."""

from __future__ import annotations

from typing import Any

import pytest

from fleet.models import Person
from tests.api.asking import V1, at_once
from tests.api.logs import EVENTS, VISITS, cleaning, walk
from tests.people import Roofs

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]


def test_edits_of_a_site_when_visits_come_in_at_once_then_all_are_taken(
    roofs: Roofs, mara: Person
) -> None:
    fan = roofs.bakery
    codes = []
    for number in range(12):
        hours = {"hours": f"Mon-Sun {8 + number % 4:02}:00-22:00"}
        surroundings = {"surroundings": ("inland", "coastal")[number % 2]}
        visit = walk(fan, f"2026-03-{1 + number:02}T09:10")
        event = cleaning(fan, f"2026-03-{1 + number:02}T23:00")
        machine = {"installed_on": f"2026-02-{1 + number:02}"}
        sends: list[Any] = [
            lambda phone, sent=visit: phone.post(VISITS, sent),
            lambda phone, sent=event: phone.post(EVENTS, sent),
            lambda desk, sent=machine: desk.post(f"{V1}/fans/{fan.pk}/machines", sent),
            lambda desk, sent=surroundings: desk.patch(
                f"{V1}/sites/{fan.site_id}", sent, headers={"If-Match": "*"}
            ),
            lambda desk, sent=hours: desk.put(
                f"{V1}/systems/{fan.system_id}/hours/2026-12-01", sent, headers={"If-Match": "*"}
            ),
        ]
        codes += [answer.status_code for answer in at_once(mara, sends)]
    assert {code for code in codes if code not in (200, 201)} == set()
