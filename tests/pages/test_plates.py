"""Plates read otherwise than on record: listed for who plans until somebody has decided."""

from __future__ import annotations

from typing import Any

import pytest

from fleet.models import Fan, Person
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
    assert "1 nameplate was read otherwise than on record" in text_of(signed_in(dana).get(SITES))
    fan.machines.update(hertz=50)
    told = text_of(signed_in(dana).get(PAGE))
    assert ("Frequency" in told, "Power: 1 on record, 2 read" in told) == (False, True)


def test_plate_when_read_again_as_on_record_then_no_longer_listed(
    fan: Fan, theo: Person, dana: Person
) -> None:
    read(theo, fan, "2026-03-02T09:10", {"hertz": "50"})
    read(theo, fan, "2026-03-09T09:10", {"hertz": "60"})
    assert "None: every plate read says" in text_of(signed_in(dana).get(PAGE))
    assert "nameplate" not in text_of(signed_in(dana).get(SITES))


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
