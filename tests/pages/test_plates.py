"""Plates read otherwise than on record: listed for who plans until somebody has decided."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Fan, Person
from schedules.pages import plates
from tests.api.asking import by_key
from tests.api.logs import VISITS, look
from tests.pages.test_due_list import text_of
from tests.people import Roofs, signed_in

pytestmark = pytest.mark.django_db
PAGE, SITES = "/sites/plates/", "/sites/"


@pytest.fixture
def fan(roofs: Roofs) -> Fan:
    """The bakery's, whose register says 60 Hz and 1 hp."""
    roofs.bakery.machines.update(hertz=60, power_hp=1)
    return roofs.bakery


def read(theo: Person, fan: Fan, on: str, plate: dict[str, Any]) -> None:
    payload = {**look(fan, on), "plates": [{"fan": fan.tag, "machine": plate}]}
    assert by_key(theo).post(VISITS, payload).status_code == 201


def test_plate_when_read_otherwise_then_listed_until_the_register_says_what_was_read(
    fan: Fan, theo: Person, dana: Person
) -> None:
    read(theo, fan, "2026-03-02T09:10", {"hertz": "50", "power_hp": "2"})
    told = text_of(signed_in(dana).get(PAGE))
    assert "Frequency: 60 on record, 50 read on Mon 2 Mar 2026." in told
    assert "Nameplates read otherwise" in text_of(signed_in(dana).get(SITES))
    fan.machines.update(hertz=50)
    told = text_of(signed_in(dana).get(PAGE))
    assert ("Frequency" in told, "Power: 1 on record, 2 read" in told) == (False, True)


def test_plate_when_read_again_as_on_record_then_no_longer_listed(
    fan: Fan, theo: Person, dana: Person
) -> None:
    read(theo, fan, "2026-03-02T09:10", {"hertz": "50"})
    read(theo, fan, "2026-03-09T09:10", {"hertz": "60"})
    assert "None: every plate read says" in text_of(signed_in(dana).get(PAGE))
    assert "Nameplates" not in text_of(signed_in(dana).get(SITES))


def test_plate_when_its_machine_is_gone_then_nothing_is_left_to_decide(
    fan: Fan, theo: Person, dana: Person
) -> None:
    read(theo, fan, "2026-03-02T09:10", {"hertz": "50"})
    fan.machines.update(removed_on="2026-03-05")
    assert "None: every plate read says" in text_of(signed_in(dana).get(PAGE))


@pytest.mark.parametrize("who", ["theo", "olga"])
def test_list_when_somebody_does_not_plan_then_404(
    who: str, roofs: Roofs, request: pytest.FixtureRequest
) -> None:
    assert signed_in(request.getfixturevalue(who)).get(PAGE).status_code == 404


def test_sites_when_many_plates_wait_then_they_are_not_all_read(
    fan: Fan, theo: Person, dana: Person
) -> None:
    read(theo, fan, "2026-03-02T09:10", {"hertz": "50"})
    with CaptureQueriesContext(connection) as asked:
        signed_in(dana).get(SITES)
    asked_for = [row["sql"] for row in asked if '"visits_platereading"."differs"' in row["sql"]]
    assert ["LIMIT 50" in sql or '"id" IN (' in sql for sql in asked_for] == [True, True]


def test_list_when_longer_than_a_page_then_the_rest_on_the_next(
    fan: Fan, theo: Person, dana: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(plates, "PAGE", 1)
    other = Fan.objects.exclude(pk=fan.pk).filter(site__owner=fan.site.owner).get()
    other.machines.update(hertz=60)
    for each in (fan, other):
        read(theo, each, "2026-03-02T09:10", {"hertz": "50"})
    first = signed_in(dana).get(PAGE)
    following = signed_in(dana).get(f"{PAGE}?after={first.context['next']}")
    told = [[line.fan for line in page.context["lines"]] for page in (first, following)]
    assert (told, following.context["next"]) == ([[fan], [other]], None)


@pytest.mark.parametrize("after", ["x", "-1", "%00", "9" * 20])
def test_list_when_there_is_no_such_page_then_404(roofs: Roofs, dana: Person, after: str) -> None:
    assert signed_in(dana).get(f"{PAGE}?after={after}").status_code == 404
