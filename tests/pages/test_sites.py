"""Pages of sites: whose they are, what stands on them, wrong questions told."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from playwright.sync_api import Page

from fleet.models import Agreement, ExhaustSystem, Fan, Person
from schedules.due.reckoning import reckon_fleet
from tests.axe import complaints
from tests.pages.test_due_list import text_of
from tests.people import Roofs, sign_in, signed_in
from tests.schedules.fans import NOW, walk
from visits.models import Event


@pytest.mark.django_db
@pytest.mark.parametrize("address", ["/sites/", "/sites/1/"])
def test_sites_when_nobody_is_signed_in_then_asks_to(client: Client, address: str) -> None:
    assert client.get(address).headers["Location"] == f"/login/?next={address}"


def test_sites_when_our_people_look_then_all(roofs: Roofs, dana: Person) -> None:
    told = text_of(signed_in(dana).get("/sites/"))
    assert [fan.site.name in told for fan in roofs.all] == [True, True, True]


def test_sites_when_an_owner_looks_then_only_their_own(roofs: Roofs, olga: Person) -> None:
    told = text_of(signed_in(olga).get("/sites/"))
    assert [fan.site.name in told for fan in roofs.all] == [True, True, False]


def test_sites_when_searched_then_those_found_and_the_words_kept(
    roofs: Roofs, dana: Person
) -> None:
    body = signed_in(dana).get("/sites/?q=canteen").content.decode()
    assert ("Alder Canteen" in body, "Alder Bakery" in body, 'value="canteen"' in body) == (
        True,
        False,
        True,
    )


@pytest.mark.parametrize("asked", ["after=x", "after=987654", "after=%00", "q=%00&after=-1"])
def test_sites_when_asked_wrongly_then_says_what_is_wrong(
    roofs: Roofs, dana: Person, asked: str
) -> None:
    said = signed_in(dana).get(f"/sites/?{asked}")
    assert (said.status_code, "is no page of this list" in text_of(said)) == (400, True)


def test_sites_when_the_page_key_is_anothers_site_then_none_of_theirs(
    roofs: Roofs, sam: Person
) -> None:
    said = signed_in(sam).get(f"/sites/?after={roofs.bakery.site_id}")
    assert said.status_code == 400


@pytest.mark.parametrize(("who", "status"), [("olga", 200), ("sam", 404), ("theo", 200)])
def test_site_when_opened_then_only_by_its_owner_and_our_people(
    roofs: Roofs, who: str, status: int, request: pytest.FixtureRequest
) -> None:
    client = signed_in(request.getfixturevalue(who))
    assert client.get(f"/sites/{roofs.bakery.site_id}/").status_code == status


@pytest.mark.parametrize("number", ["987654", "99999999999999999999"])
def test_site_when_there_is_none_then_404(dana: Person, number: str) -> None:
    assert signed_in(dana).get(f"/sites/{number}/").status_code == 404


@pytest.fixture
def bakery(roofs: Roofs) -> Fan:
    """The bakery's fan with a site, an agreement and a week that say something."""
    fan = roofs.bakery
    site = fan.site
    site.address, site.access_notes = "3 Alder Row", "hatch by the ovens"
    site.roof_access_hours = [[[420, 900]]] * 5 + [[], []]
    site.save()
    fan.system.cooking.create(valid_from="2026-01-01", classes=["solid_fuel"])
    Agreement.objects.create(owner=site.owner, starts_on="2026-01-01", visits_per_year=6)
    walk(fan, "2026-06-01", {"hinge": "watch"}, hinge="loose")
    Event.objects.create(
        kind="hood_cleaning", site=site, system=fan.system, started_on="2026-05-20",
        ended_on="2026-05-20", received_at=NOW, payload_sha256="",
    )  # fmt: skip
    reckon_fleet(now=NOW)
    return fan


FACTS = [
    "3 Alder Row", "hatch by the ovens", "Mon–Fri 7:00–15:00", "Alder Kitchens",
    "6 visits a year", "Solid fuel", "EF-1", "Mon 1 Jun 2026 Walk-through",
    "Wed 20 May 2026 Hood cleaning, Main line", "a competent person decides",
]  # fmt: skip


@pytest.mark.parametrize("fact", FACTS)
def test_site_when_opened_then_tells(bakery: Fan, dana: Person, fact: str) -> None:
    assert fact in text_of(signed_in(dana).get(f"/sites/{bakery.site_id}/"))


def test_site_when_a_system_has_no_fan_then_says_so(bakery: Fan, dana: Person) -> None:
    ExhaustSystem.objects.create(site=bakery.site, name="Oven line")
    told = text_of(signed_in(dana).get(f"/sites/{bakery.site_id}/"))
    assert "Oven line Cooking not on record. No fan is on record here." in told


def test_site_when_it_grows_then_asks_no_more_questions(bakery: Fan, dana: Person) -> None:
    counts = []
    for turn in range(2):
        with CaptureQueriesContext(connection) as asked:
            signed_in(dana).get(f"/sites/{bakery.site_id}/")
        counts.append(len(asked))
        for number in range(8):
            system = ExhaustSystem.objects.create(site=bakery.site, name=f"Line {turn}-{number}")
            Fan.objects.create(
                site=bakery.site, system=system, tag=f"EX-{turn}-{number}", entered_on="2026-01-01"
            )
        reckon_fleet(now=NOW)
    assert counts[0] == counts[1]


@pytest.mark.browser
def test_sites_when_read_by_axe_then_no_violation_and_no_sideways_scroll(
    page: Page, bakery: Fan, dana: Person
) -> None:
    sign_in(page, dana)
    for address, heading in (("/sites/", "Sites"), (f"/sites/{bakery.site_id}/", "Alder Bakery")):
        page.goto(address)
        assert page.locator("h1").text_content() == heading
        assert complaints(page) == []


def test_site_when_an_owner_looks_then_nobody_elses_numbers(
    roofs: Roofs, dana: Person, olga: Person
) -> None:
    site = roofs.bakery.site
    site.contacts.create(duty="keys", name="Ada Mills", phone="555-0142")
    told = [text_of(signed_in(who).get(f"/sites/{site.pk}/")) for who in (dana, olga)]
    assert ["555-0142" in each for each in told] == [True, False]
