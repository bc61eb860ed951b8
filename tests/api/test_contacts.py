"""Whom to call at a site: entered by who plans, told to whoever takes the site along."""

from __future__ import annotations

import pytest

from fleet.models import Person
from tests.api.asking import V1, by_key, faults
from tests.people import Roofs

pytestmark = pytest.mark.django_db
WHO = {"duty": "keys", "name": "Ada Mills", "phone": "+1 555 0142", "note": "after 10"}


def test_contact_when_entered_then_told_to_whoever_takes_the_site_along(
    dana: Person, roofs: Roofs, theo: Person
) -> None:
    site = roofs.bakery.site_id
    entered = by_key(dana).post(f"{V1}/contacts", {"site": site, **WHO})
    assert (entered.status_code, entered["Location"]) == (
        201, f"http://testserver{V1}/contacts/{entered.json()['id']}",
    )  # fmt: skip
    taken = by_key(theo).get(f"{V1}/round/sites/{site}").json()["sites"][0]["contacts"]
    assert taken == [{**WHO, "duty": "Keys of the roof"}]


def test_contact_when_nameless_then_refused_at_the_name(dana: Person, roofs: Roofs) -> None:
    told = by_key(dana).post(f"{V1}/contacts", {**WHO, "site": roofs.bakery.site_id, "name": ""})
    assert (told.status_code, faults(told)) == (400, ["#/name"])
