"""What a phone takes along through the API: whose it is, how much is asked for it, what it has."""

from __future__ import annotations

import datetime as dt
import gzip
from collections.abc import Iterator
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from rest_framework.test import APIClient

from fleet.models import Fan, Person, Site
from schedules.due.reckoning import reckon_fleet
from schedules.phone.form import tell_form
from schedules.phone.terms import tell_terms
from schedules.rounds.services.publishing import publish_week
from tests.api.asking import V1, by_key, nobody
from tests.api.served import faults_of, schema
from tests.bookings.booked import NOW
from tests.people import Roofs
from tests.rounds.weeks import due_fan, park, plan, quill, stops, who
from tests.schedules.fans import walk
from visits.payload.visit import ABOUT, SUBJECTS

pytestmark = pytest.mark.django_db
MOST_STATEMENTS = 34
ROUND_BYTES, FIRST_LOAD_BYTES = 1_500_000, 150_000
"""Budgets of the page's plan: a round of twelve fans with all that is loaded first."""
MONDAY_ROUND = f"{V1}/round?day=2026-12-07"
DOORS = ["/round/sites/{site}", "/round/fans/{fan}"]


@pytest.fixture
def jo(db: None) -> Person:
    """Jo Park, qualified for code inspections, with published rounds on a Monday."""
    for number in (7, 8, 9):
        due_fan(number)
    jo = park(hours=[[[420, 1020]], *[[]] * 6], reserve_minutes=0)
    plan()
    publish_week(who(1))
    return jo


def asked(person: Person, address: str, **headers: str) -> Any:
    return by_key(person).get(f"{V1}{address}", headers=headers)


def test_round_when_published_then_its_technician_takes_it_as_the_schema_says(jo: Person) -> None:
    told = by_key(jo).get(MONDAY_ROUND)
    pack = told.json()
    assert [stop["site"] for stop in pack["stops"]] == [stop.site_id for stop in stops()]
    assert {stop["note"] for stop in pack["stops"]} == {""}
    assert {fan["site"] for fan in pack["fans"]} == {site["id"] for site in pack["sites"]}
    assert pack["person"]["may_inspect"]
    assert not pack["person"]["may_work_live"]
    assert faults_of(pack, schema()["components"]["schemas"]["RoundTaken"]) == []


def test_round_when_asked_for_by_others_then_404(jo: Person, dana: Person, olga: Person) -> None:
    people = (quill(), dana, olga)
    assert [by_key(each).get(MONDAY_ROUND).status_code for each in people] == [404] * 3


@pytest.mark.parametrize(("day", "status"), [
    ("2026-12-08", 404), ("2026-12-7", 400), ("x", 400), ("0001-01-01", 404),
])  # fmt: skip
def test_round_when_none_is_that_day_then_said_so(jo: Person, day: str, status: int) -> None:
    assert by_key(jo).get(f"{V1}/round?day={day}").status_code == status


def addresses(fan: Fan) -> Iterator[str]:
    yield from (door.format(site=fan.site_id, fan=fan.pk) for door in DOORS)
    yield from ("/round/person", "/round/sites?search=Dory")


def test_taking_along_when_asked_by_each_then_the_company_alone_is_answered(
    roofs: Roofs, mara: Person, dana: Person, theo: Person, olga: Person, sam: Person
) -> None:
    for address in addresses(roofs.diner):
        company = [asked(each, address).status_code for each in (mara, dana, theo)]
        owners = [asked(each, address).status_code for each in (sam, olga)]
        assert (company, owners, nobody().get(f"{V1}{address}").status_code) == (
            [200] * 3, [404] * 2, 401,
        ), address  # fmt: skip


def test_site_when_there_is_none_then_404(theo: Person) -> None:
    assert asked(theo, "/round/sites/987654").status_code == 404
    assert asked(theo, "/round/fans/987654").status_code == 404


def test_sites_when_searched_for_then_by_name_address_or_owner(roofs: Roofs, theo: Person) -> None:
    told = asked(theo, "/round/sites?search=alder%20b").json()["sites"]
    assert [each["name"] for each in told] == ["Alder Bakery"]
    owned = asked(theo, "/round/sites?search=Alder%20Kitchens").json()["sites"]
    assert [each["name"] for each in owned] == ["Alder Bakery", "Alder Canteen"]


def test_site_when_nothing_changed_then_not_sent_again(roofs: Roofs, theo: Person) -> None:
    address = f"/round/sites/{roofs.bakery.site_id}"
    tag = asked(theo, address)["ETag"]
    assert asked(theo, address, **{"If-None-Match": tag}).status_code == 304
    walk(roofs.bakery, "2026-06-01", {"hinge": "act"}, hinge="none")
    assert asked(theo, address, **{"If-None-Match": tag}).status_code == 200


def test_fan_when_its_breaker_was_reset_then_the_caution_of_paper(
    roofs: Roofs, theo: Person
) -> None:
    """Design, section 11: no reset until the circuit is judged safe, and resets are counted."""
    now = timezone.now()
    event = {
        "owner": roofs.bakery.site.owner.name, "site": roofs.bakery.site.name,
        "fan": roofs.bakery.tag, "kind": "breaker_reset", "resets": 2,
        "started": (now - dt.timedelta(days=3)).isoformat(), "id": str(uuid4()),
    }  # fmt: skip
    assert by_key(theo).post(f"{V1}/events", event, format="json").status_code == 201
    site = asked(theo, f"/round/sites/{roofs.bakery.site_id}").json()
    told = {fan["tag"]: " ".join(fan["cautions"]) for fan in site["fans"]}
    assert "Its breaker was reset" in told[roofs.bakery.tag]


def test_work_when_on_what_checks_look_at_then_its_reader_s_language(
    roofs: Roofs, theo: Person
) -> None:
    done = walk(roofs.bakery, "2026-06-01", {"noise": "act"}, noise="new").visit
    done.actions.create(fan=roofs.bakery, kind="repaired", item="noise")
    Person.objects.filter(pk=theo.pk).update(language="es")
    theo.refresh_from_db()
    fan = asked(theo, f"/round/fans/{roofs.bakery.pk}").json()["fans"][0]
    assert fan["record"][0]["lines"][-1] == "Ruido: reparación."


def test_waiting_when_the_visit_it_is_told_on_is_the_next_then_nothing_is_said_of_it(
    jo: Person,
) -> None:
    reckon_fleet(now=NOW, only_stale=True)
    told = [fan["waiting"] or "" for fan in by_key(jo).get(MONDAY_ROUND).json()["fans"]]
    assert not [words for words in told if "until the visit on" in words]


def test_subjects_when_offered_then_each_is_taken_and_the_phone_tells_items_apart() -> None:
    offered = {code for code, _ in tell_terms()["subjects"]}
    form = tell_form()
    items_alone = {code for code in offered if code not in {**form["fields"], **form["items"]}}
    assert offered <= set(ABOUT)
    assert items_alone == offered - SUBJECTS


def statements(client: APIClient, address: str) -> int:
    with CaptureQueriesContext(connection) as asked:
        assert client.get(address).status_code == 200
    return len(asked)


def test_round_when_it_has_more_fans_then_no_more_is_asked(jo: Person) -> None:
    client, told = by_key(jo), []
    for number in range(3):
        for stop in stops():
            broken_fan(stop.site, f"X-{number}")
        reckon_fleet(now=NOW, only_stale=True)
        told.append(statements(client, MONDAY_ROUND))
    pack = client.get(MONDAY_ROUND)
    assert len(pack.json()["fans"]) == 12
    assert told[1] == told[2] <= MOST_STATEMENTS
    assert len(gzip.compress(pack.content, 6)) < ROUND_BYTES - FIRST_LOAD_BYTES


def broken_fan(site: Site, tag: str) -> None:
    """A fan whose hinge is gone, whose motor failed, whose owner was advised."""
    fan = Fan.objects.create(
        site=site, system=site.systems.get(), tag=tag, entered_on=dt.date(2026, 1, 1)
    )
    fan.machines.create(power_hp=1.0)
    visit = walk(fan, "2026-11-01", {"hinge": "act"}, hinge="none").visit
    visit.findings.create(fan=fan, item="motor", verdict="act", severity="critical",
                          loss_of_function=True)  # fmt: skip
    visit.recommendations.create(fan=fan, subject="hinge", text="A new hinge.")


def test_fan_when_vibration_felt_slight_before_then_slight_is_within(
    roofs: Roofs, theo: Person
) -> None:
    address = f"/round/fans/{roofs.bakery.pk}"
    before = asked(theo, address).json()["fans"][0]["fields"]["vibration_felt"]
    visit = walk(roofs.bakery, "2026-06-01", {"vibration_felt": "watch"}, vibration_felt="slight")
    slight = asked(theo, address).json()["fans"][0]["fields"]["vibration_felt"]
    visit.visit.actions.create(fan=roofs.bakery, kind="balanced", item="wheel")
    balanced = asked(theo, address).json()["fans"][0]["fields"]["vibration_felt"]
    assert slight["states"] == {"slight": "within"}
    assert "states" not in before
    assert "states" not in balanced


def test_fan_when_it_was_walked_then_its_past_and_open_findings_come_along(
    roofs: Roofs, theo: Person
) -> None:
    walk(roofs.bakery, "2026-06-01", {"hinge": "act"}, hinge="none")
    fan = asked(theo, f"/round/fans/{roofs.bakery.pk}").json()["fans"][0]
    assert [(each["subject"], each["verdict"]) for each in fan["findings"]] == [("hinge", "act")]
    assert fan["record"][0]["lines"] == ["As found: act on hinge."]
    assert any("do not tip" in told for told in fan["cautions"])
    assert {"hinge", "catch", "cable"} <= set(fan["look"])


def test_field_when_nobody_is_qualified_then_live_readings_are_not_asked(
    roofs: Roofs, theo: Person
) -> None:
    reckon_fleet(now=NOW, only_stale=True)
    address = f"/round/fans/{roofs.bakery.pk}"
    told = asked(theo, address).json()
    theo.qualified_energised_work = True
    theo.save()
    qualified = asked(theo, address).json()
    live = {name for name, each in told["form"]["fields"].items() if each["live"]}
    assert not live & set(told["fans"][0]["read"])
    assert live & set(qualified["fans"][0]["read"])
