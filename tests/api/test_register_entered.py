"""The register entered and edited through the API by somebody who plans."""

from __future__ import annotations

from typing import Any

import pytest
from rest_framework.test import APIClient

from fleet.models import Fan, Machine, Owner, Person, Site
from schedules.models import DueState
from tests.api.asking import V1, by_key, faults
from tests.api.register import Addresses, lay_register
from tests.people import Roofs

pytestmark = pytest.mark.django_db
SITE = {"name": "Mill Lane", "time_zone": "America/Chicago"}
PLATE = {
    "installed_on": "2021-05-18", "serial": "A1", "motor_type": "three_phase", "phases": 3,
    "volts": "208-230/460", "full_load_amps": "3.3-3.2/1.6", "power_hp": 1, "unreadable": ["frame"],
}  # fmt: skip


@pytest.fixture
def asker(dana: Person) -> APIClient:
    return by_key(dana)


@pytest.fixture
def own(roofs: Roofs) -> Addresses:
    return lay_register(roofs)[0]


def edit(asker: APIClient, address: str, values: Any, method: str = "patch", at: str = "") -> Any:
    """Change a row as it is now, at its own address or below it."""
    tag = asker.get(address)["ETag"]
    return getattr(asker, method)(f"{address}{at}", values, HTTP_IF_MATCH=tag)


def revision(fan: Fan) -> int:
    return DueState.objects.get(fan=fan).revision


def test_owner_when_entered_then_stored_with_who_did_it(asker: APIClient) -> None:
    told = asker.post(f"{V1}/owners", {"name": "Ashdown Kitchens", "phone": "555-0117"})
    entry = Owner.history.get()  # type: ignore[attr-defined]
    assert (told.status_code, told.json(), entry.history_user.username) == (
        201,
        {
            "id": entry.id,
            "name": "Ashdown Kitchens",
            "email": "",
            "phone": "555-0117",
            "language": "en",
            "notes": "",
        },
        "dana",
    )


def test_row_when_entered_then_its_address_and_tag_are_those_of_a_get(asker: APIClient) -> None:
    told = asker.post(f"{V1}/owners", {"name": "Ashdown Kitchens"})
    assert asker.get(told["Location"])["ETag"] == told["ETag"]


def test_owner_when_the_name_is_taken_then_pointed_at(asker: APIClient, own: Addresses) -> None:
    answer = asker.post(f"{V1}/owners", {"name": "Alder Kitchens"})
    assert (answer.status_code, faults(answer), answer.json()["errors"][0]["seen"]) == (
        400, ["#/name"], "Alder Kitchens",
    )  # fmt: skip


def test_owner_when_edited_then_history_keeps_the_old_words(
    asker: APIClient, own: Addresses
) -> None:
    edit(asker, own.owners, {"phone": "555-0199"})
    assert [row.phone for row in Owner.history.filter(name="Alder Kitchens")] == ["555-0199", ""]  # type: ignore[attr-defined]


def test_row_when_edited_to_what_it_was_then_no_history(asker: APIClient, own: Addresses) -> None:
    before = Owner.history.count()  # type: ignore[attr-defined]
    edit(asker, own.owners, {"name": "Alder Kitchens"})
    assert Owner.history.count() == before  # type: ignore[attr-defined]


def test_agreement_when_followed_by_another_then_ends_the_day_before(
    asker: APIClient, own: Addresses, roofs: Roofs
) -> None:
    owner = roofs.bakery.site.owner_id
    asker.post(f"{V1}/agreements", {"owner": owner, "starts_on": "2026-07-01"})
    assert asker.get(own.agreements).json()["ends_on"] == "2026-06-30"


def test_agreement_when_one_starts_that_day_then_its_address_is_told(
    asker: APIClient, own: Addresses, roofs: Roofs
) -> None:
    body = {"owner": roofs.bakery.site.owner_id, "starts_on": "2026-01-01"}
    answer = asker.post(f"{V1}/agreements", body)
    assert own.agreements in answer.json()["errors"][0]["remedy"]


def test_agreement_when_it_would_end_before_it_starts_then_pointed_at(
    asker: APIClient, own: Addresses
) -> None:
    assert faults(edit(asker, own.agreements, {"ends_on": "2025-12-31"})) == ["#/ends_on"]


def test_agreement_when_edited_then_the_terms_change(asker: APIClient, own: Addresses) -> None:
    told = edit(asker, own.agreements, {"visits_per_year": 6, "spending_limit": "400.5"}).json()
    assert (told["visits_per_year"], told["spending_limit"]) == (6, "400.50")


def test_site_when_entered_then_its_hours_are_told_as_written(
    asker: APIClient, roofs: Roofs
) -> None:
    body = {**SITE, "owner": roofs.bakery.site.owner_id, "roof_access_hours": "mon to fri 7-15"}
    assert asker.post(f"{V1}/sites", body).json()["roof_access_hours"] == "Mon-Fri 07:00-15:00"


@pytest.mark.parametrize(
    ("wrong", "pointer"),
    [
        ({"time_zone": "Middle/Earth"}, "#/time_zone"), ({"latitude": 41.6}, "#/longitude"),
        ({"latitude": 91, "longitude": 0}, "#/latitude"), ({"owner": 99999999}, "#/owner"),
        ({"name": "Alder Bakery"}, "#/name"), ({"roof_access_hours": "sometimes"},
                                               "#/roof_access_hours"),
        ({"colour": "red"}, "#/colour"), ({"id": 7}, "#/id"), ({"country": "USA"}, "#/country"),
        ({"surroundings": "lunar"}, "#/surroundings"), ({"access_minutes": -1}, "#/access_minutes"),
    ],
)  # fmt: skip
def test_site_when_something_is_wrong_then_pointed_at(
    wrong: dict[str, Any], pointer: str, asker: APIClient, roofs: Roofs
) -> None:
    body = {"owner": roofs.bakery.site.owner_id, **SITE, **wrong}
    answer = asker.post(f"{V1}/sites", body)
    assert (answer.status_code, faults(answer), Site.objects.count()) == (400, [pointer], 3)


def test_site_when_several_things_are_wrong_then_all_are_pointed_at(asker: APIClient) -> None:
    answer = asker.post(f"{V1}/sites", {"name": "", "time_zone": "Middle/Earth", "colour": 1})
    assert faults(answer) == ["#/owner", "#/name", "#/time_zone", "#/colour"]


def test_site_when_given_to_another_owner_then_refused(
    asker: APIClient, own: Addresses, roofs: Roofs
) -> None:
    assert faults(edit(asker, own.sites, {"owner": roofs.diner.site.owner_id})) == ["#/owner"]


def test_system_when_entered_then_empty_of_calendar(asker: APIClient, roofs: Roofs) -> None:
    told = asker.post(f"{V1}/systems", {"site": roofs.bakery.site_id, "name": "Grill line"}).json()
    assert (told["name"], told["cooking"], told["closed_days"]) == ("Grill line", [], [])


@pytest.mark.parametrize(
    ("at", "body", "part", "told"),
    [
        ("/cooking/2026-02-01", {"classes": ["low", "high"]}, "cooking",
         [{"valid_from": "2026-02-01", "classes": ["high", "low"]}]),
        ("/hours/2026-02-01", {"hours": "Mon-Fri 10-23"}, "hours",
         [{"valid_from": "2026-02-01", "hours": "Mon-Fri 10:00-23:00"}]),
        ("/hours/2026-02-01", {"hours": "always"}, "hours",
         [{"valid_from": "2026-02-01", "hours": "always"}]),
        ("/expected-cleanings/2026-02-01", {"crew": "night crew"}, "expected_cleanings",
         [{"day": "2026-02-01", "crew": "night crew"}]),
    ],
)  # fmt: skip
def test_calendar_when_set_from_a_day_then_told_with_the_system_and_its_fan_is_touched(
    at: str, body: Any, part: str, told: Any, asker: APIClient, own: Addresses, roofs: Roofs
) -> None:
    before = revision(roofs.bakery)
    answer = edit(asker, own.systems, body, "put", at)
    assert (answer.json()[part], revision(roofs.bakery) > before) == (told, True)


def test_calendar_when_the_same_day_is_said_again_then_corrected(
    asker: APIClient, own: Addresses
) -> None:
    edit(asker, own.systems, {"classes": ["low"]}, "put", "/cooking/2026-02-01")
    told = edit(asker, own.systems, {"classes": ["high"]}, "put", "/cooking/2026-02-01")
    assert told.json()["cooking"] == [{"valid_from": "2026-02-01", "classes": ["high"]}]


@pytest.mark.parametrize(
    ("at", "body", "pointer"),
    [
        ("cooking", {"classes": []}, "#/classes"), ("cooking", {"classes": ["raw"]}, "#/classes/0"),
        ("hours", {"hours": "Mon 9-5"}, "#/hours"), ("hours", {}, "#/hours"),
        ("hours", {"hours": "always", "valid_from": "2026-01-01"}, "#/valid_from"),
        ("expected-cleanings", {"crew": "x" * 121}, "#/crew"),
    ],
)  # fmt: skip
def test_calendar_when_something_is_wrong_then_pointed_at(
    at: str, body: Any, pointer: str, asker: APIClient, own: Addresses
) -> None:
    assert faults(edit(asker, own.systems, body, "put", f"/{at}/2026-02-01")) == [pointer]


def test_days_when_closed_then_opened_again_then_as_before(
    asker: APIClient, own: Addresses
) -> None:
    days = {"days": ["2026-12-24", "2026-12-25"]}
    closed = edit(asker, own.systems, days, "post", "/closed-days").json()["closed_days"]
    opened = edit(asker, own.systems, None, "delete", "/closed-days/2026-12-24")
    assert (closed, opened.json()["closed_days"]) == (["2026-12-24", "2026-12-25"], ["2026-12-25"])


@pytest.mark.parametrize("at", ["/closed-days/2026-05-05", "/expected-cleanings/2026-05-05"])
def test_day_when_taken_back_that_is_not_there_then_404(
    at: str, asker: APIClient, own: Addresses
) -> None:
    assert edit(asker, own.systems, None, "delete", at).status_code == 404


def test_cleaning_when_called_off_then_gone(asker: APIClient, own: Addresses) -> None:
    edit(asker, own.systems, {"crew": "night crew"}, "put", "/expected-cleanings/2026-06-14")
    told = edit(asker, own.systems, None, "delete", "/expected-cleanings/2026-06-14")
    assert told.json()["expected_cleanings"] == []


def test_fan_when_entered_with_machine_and_feed_then_told_whole(
    asker: APIClient, roofs: Roofs
) -> None:
    feed = {"panel": "RP-2", "connected_volts": "208-230", "connected_confirmed": True}
    body = {"system": roofs.bakery.system_id, "tag": "EF-9", "machine": PLATE, "feed": feed}
    told = asker.post(f"{V1}/fans", body).json()
    machine = {name: told["machine"][name] for name in PLATE}
    assert (told["tag"], told["owner"], machine, told["feeds"][0]["panel"]) == (
        "EF-9", roofs.bakery.site.owner_id, PLATE, "RP-2",
    )  # fmt: skip


def test_fan_when_entered_without_a_day_then_today_at_its_site(
    asker: APIClient, roofs: Roofs
) -> None:
    told = asker.post(f"{V1}/fans", {"system": roofs.bakery.system_id, "tag": "EF-9"}).json()
    assert told["entered_on"] == str(Fan.history.latest().history_date.astimezone(  # type: ignore[attr-defined]
        roofs.bakery.site.zone).date())  # fmt: skip


@pytest.mark.parametrize(
    ("wrong", "pointer"),
    [
        ({"tag": "EF-1"}, "#/tag"), ({"machine": {"volts": "loud"}}, "#/machine/volts"),
        ({"machine": {"drive": "direct", "belt": "A45"}}, "#/machine/belt"),
        ({"machine": {"volts": "230", "full_load_amps": "3/1.6"}}, "#/machine/full_load_amps"),
        ({"machine": {"installed_on": "2098-01-01"}}, "#/machine/installed_on"),
        ({"machine": {"power_hp": 500}}, "#/machine/power_hp"),
        ({"machine": {"power_hp": "1"}}, "#/machine/power_hp"),
        ({"machine": {"motor_type": "psc", "phases": 3}}, "#/machine/phases"),
        ({"machine": {"unreadable": ["colour"]}}, "#/machine/unreadable/0"),
        ({"machine": {"serial": "A1", "unreadable": ["serial"]}}, "#/machine/serial"),
        ({"machine": {"volts": "230"}, "feed": {"connected_volts": "460"}},
         "#/feed/connected_volts"),
        ({"feed": {"poles": 4}}, "#/feed/poles"), ({"feed": {"valid_from": None}},
                                                   "#/feed/valid_from"),
        ({"hour_meter_digits": 2}, "#/hour_meter_digits"), ({"site": 7}, "#/site"),
    ],
)  # fmt: skip
def test_fan_when_something_is_wrong_then_pointed_at_and_nothing_stored(
    wrong: dict[str, Any], pointer: str, asker: APIClient, roofs: Roofs
) -> None:
    answer = asker.post(f"{V1}/fans", {"system": roofs.bakery.system_id, "tag": "EF-9", **wrong})
    assert (answer.status_code, faults(answer), Fan.objects.count()) == (400, [pointer], 3)


def test_fan_when_edited_then_changed_and_touched(
    asker: APIClient, own: Addresses, roofs: Roofs
) -> None:
    before = revision(roofs.bakery)
    told = edit(asker, own.fans, {"tag": "EF-1A"}).json()
    assert (told["tag"], revision(roofs.bakery) > before) == ("EF-1A", True)


def test_machine_when_replaced_then_the_earlier_one_ends_and_the_fan_is_touched(
    asker: APIClient, own: Addresses, roofs: Roofs
) -> None:
    before = revision(roofs.bakery)
    asker.post(f"{own.fans}/machines", {"installed_on": "2026-02-01", "serial": "B7"})
    rows = asker.get(f"{own.fans}/machines").json()["results"]
    told = [(row["serial"], row["removed_on"], row["first_here"]) for row in rows]
    assert (told, revision(roofs.bakery) > before) == (
        [("", "2026-02-01", True), ("B7", None, False)], True,
    )  # fmt: skip


def test_machine_when_one_was_installed_that_day_then_its_address_is_told(
    asker: APIClient, own: Addresses
) -> None:
    answer = asker.post(f"{own.fans}/machines", {"serial": "B7"})
    assert own.machines in answer.json()["errors"][0]["remedy"]


def test_machine_when_entered_at_a_fan_that_is_not_there_then_404(asker: APIClient) -> None:
    assert asker.post(f"{V1}/fans/99999999/machines", {}).status_code == 404


def test_plate_when_a_part_is_read_at_last_then_no_longer_unreadable(
    asker: APIClient, own: Addresses
) -> None:
    edit(asker, own.machines, {"unreadable": ["serial", "frame"]})
    told = edit(asker, own.machines, {"serial": "A1"}).json()
    assert (told["serial"], told["unreadable"]) == ("A1", ["frame"])


def test_plate_when_a_part_cannot_be_read_any_more_then_without_value(
    asker: APIClient, own: Addresses
) -> None:
    told = edit(asker, own.machines, {"unreadable": ["power_hp"]}).json()
    assert (told["power_hp"], told["unreadable"]) == (None, ["power_hp"])


def test_plate_when_a_dual_rating_has_an_unreadable_part_then_kept_as_printed(
    asker: APIClient, own: Addresses
) -> None:
    told = edit(asker, own.machines, {"volts": "208-230/?", "full_load_amps": "3.3-3.2/1.6"})
    assert told.json()["volts"] == "208-230/?"


def test_plate_when_corrected_then_its_fan_is_touched_and_history_keeps_the_old(
    asker: APIClient, own: Addresses, roofs: Roofs
) -> None:
    before = revision(roofs.bakery)
    edit(asker, own.machines, {"power_hp": 0.75})
    told = [row.power_hp for row in Machine.history.filter(fan=roofs.bakery)]  # type: ignore[attr-defined]
    assert (told, revision(roofs.bakery) > before) == ([0.75, 0.5], True)


@pytest.mark.parametrize("part", ["owners", "agreements", "sites", "systems"])
def test_what_stands_around_a_fan_when_edited_then_the_fan_is_touched_and_no_strangers(
    part: str, asker: APIClient, own: Addresses, roofs: Roofs
) -> None:
    before = [revision(roofs.bakery), revision(roofs.diner)]
    values = {"access_notes": "x"} if part == "sites" else {"notes": "x"}
    edit(asker, getattr(own, part), values)
    after = [revision(roofs.bakery), revision(roofs.diner)]
    assert [a > b for a, b in zip(after, before, strict=True)] == [True, False]
