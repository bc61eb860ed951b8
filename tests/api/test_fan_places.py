"""Where a fan lies on its roof: entered through the API, a spreadsheet in feet, and told."""

from __future__ import annotations

import pytest

from fleet.models import Fan, Person
from tests.api.asking import V1, by_key, faults
from tests.fleet.sheets import FULL, bring, csv_file
from tests.people import Roofs


def test_place_when_patched_by_a_dispatcher_then_kept_and_drawn(roofs: Roofs, dana: Person) -> None:
    client, fan = by_key(dana), roofs.bakery
    tag = client.get(f"{V1}/fans/{fan.pk}")["ETag"]
    told = client.patch(f"{V1}/fans/{fan.pk}", {"east_m": 4.5, "north_m": -2}, HTTP_IF_MATCH=tag)
    assert (told.status_code, told.json()["east_m"], told.json()["north_m"]) == (200, 4.5, -2)
    (site,) = client.get(f"{V1}/round/sites/{fan.site_id}").json()["sites"]
    assert [spot["tag"] for spot in site["plan"]["spots"]] == ["EF-1"]


def test_place_when_no_roof_is_so_wide_then_refused(roofs: Roofs, dana: Person) -> None:
    address = f"{V1}/fans/{roofs.bakery.pk}"
    tag = by_key(dana).get(address)["ETag"]
    answer = by_key(dana).patch(address, {"east_m": 900}, HTTP_IF_MATCH=tag)
    assert (answer.status_code, faults(answer)) == (400, ["#/east_m"])


@pytest.mark.django_db
def test_place_when_a_sheet_gives_feet_then_kept_in_metres() -> None:
    """One foot is 0.3048 m (international foot, exact by definition)."""
    bring(csv_file(FULL | {"East of hatch (ft)": "10", "North of hatch (m)": "-2"}))
    fan = Fan.objects.get()
    assert (fan.east_m, fan.north_m) == (pytest.approx(3.048), -2)
