"""A visit posted: once, by whom it may, with what it means and when its fans are due again."""

from __future__ import annotations

from typing import Any
from uuid import UUID, uuid4

import pytest

from fleet.models import Owner, Person, Site
from tests.api.asking import V1, by_key, faults, nobody
from tests.api.logs import VISITS, corrected, look, walk
from tests.people import Roofs
from visits.models import Check, Visit
from visits.payload.record import part_id

pytestmark = pytest.mark.django_db
LOW = {"volts_ab": "200 V", "volts_bc": 202, "volts_ca": 190}


def dates(answer: Any) -> dict[str, str]:
    """The due day of each rule of the first fan that an answer tells of."""
    return {each["rule"]: each["due_on"] for each in answer.json()["due"][0]["dates"]}


@pytest.mark.parametrize(
    ("who", "status"), [("dana", 201), ("theo", 201), ("olga", 403), ("sam", 403)]
)
def test_visit_when_posted_then_only_by_the_company(
    who: str, status: int, roofs: Roofs, request: pytest.FixtureRequest
) -> None:
    answer = by_key(request.getfixturevalue(who)).post(VISITS, walk(roofs.bakery))
    assert (answer.status_code, Visit.objects.count()) == (status, status == 201)


def test_visit_when_posted_by_nobody_then_401(roofs: Roofs) -> None:
    assert (nobody().post(VISITS, walk(roofs.bakery)).status_code, Visit.objects.count()) == (
        401,
        0,
    )


def test_visit_when_posted_then_recorded_under_whoever_did(roofs: Roofs, theo: Person) -> None:
    by_key(theo).post(VISITS, walk(roofs.bakery))
    assert Visit.objects.values_list("recorded_by", "technician").get() == (theo.pk, theo.pk)


def test_visit_when_posted_then_its_fan_hears_every_date_with_its_rule(
    roofs: Roofs, theo: Person
) -> None:
    answer = by_key(theo).post(VISITS, walk(roofs.bakery))
    # Rules C: no inspection on record, two weeks after entry; good condition, every two months.
    assert dates(answer) == {"code_inspection": "2026-01-15", "walk_through": "2026-05-02"}


def test_visit_when_found_dead_then_its_legs_are_held_against_each_other_as_left_only(
    roofs: Roofs, theo: Person
) -> None:
    # rules.md B: a lost phase and unbalance of currents are asked of a motor that runs.
    roofs.bakery.machines.update(motor_type="three_phase")
    amps = {"amps_a": 3.3, "amps_b": 3.2, "amps_c": 3.1}
    found = {"fan": roofs.bakery.tag, "readings": amps, "seen": {"running": "dead"}}
    left = {**found, "stage": "as_left", "seen": {"running": "runs"}}
    told = by_key(theo).post(VISITS, walk(roofs.bakery, checks=[found, left])).json()["checks"]
    between = {"lost_phase", "amps_unbalance"}
    judged = [{each["subject"] for each in check["judgements"]} for check in told]
    assert [(between & each, "amps" in each) for each in judged] == [
        (set(), True), (between, True),
    ]  # fmt: skip


def test_visit_when_a_fault_was_seen_then_verdict_limit_basis_and_date_are_told(
    roofs: Roofs, theo: Person
) -> None:
    told = by_key(theo).post(VISITS, look(roofs.bakery, seen={"hinge": "broken"})).json()
    (judged,) = told["checks"][0]["judgements"]
    assert (
        judged["verdict"],
        judged["basis"]["clause"],
        judged["sentence"],
        told["due"][0]["stop"][:40],
        told["due"][0]["worst_open"],
    ) == (
        "stop",
        "8.1.1.1",
        "The hinge is broken: do not tip this fan.",
        "The hinge is broken: do not tip this fan",
        "stop",
    )


def test_visit_when_the_plate_is_missing_then_what_cannot_be_judged_says_why(
    roofs: Roofs, theo: Person
) -> None:
    told = by_key(theo).post(VISITS, look(roofs.bakery, readings={"insulation": "OL"})).json()
    (judged,) = told["checks"][0]["judgements"]
    assert (judged["verdict"], judged["arguments"]["missing"]) == ("cannot_judge", ["motor_type"])


def test_walk_when_incomplete_then_what_was_left_out_is_named(roofs: Roofs, theo: Person) -> None:
    payload = walk(roofs.bakery)
    del payload["checks"][0]["seen"]["hinge"]
    (check,) = by_key(theo).post(VISITS, payload).json()["checks"]
    assert (check["left_out"], check["left_out_sentence"][:46]) == (
        ["hinge"], "Not a complete walk-through; left open: hinge.",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("readings", "seen", "worst"),
    [
        # Rules B: in/s rms has no column, in/s peak has
        ({"vibration_curb": "0.01 in/s rms"}, {"guard": "on"}, "cannot_judge"),
        ({"vibration_curb": "0.01 in/s peak"}, {"guard": "on"}, "within"),
        ({"vibration_curb": "0.01 in/s rms"}, {"guard": "off"}, "stop"),
        ({"vibration_curb": "0.01 in/s"}, {"guard": "on"}, "cannot_judge"),
    ],
)
def test_check_when_something_in_it_cannot_be_judged_then_its_worst_is_never_within(
    readings: dict[str, str], seen: dict[str, str], worst: str, roofs: Roofs, theo: Person
) -> None:
    roofs.bakery.machines.update(power_hp=1)
    client, payload = by_key(theo), look(roofs.bakery, readings=readings, seen=seen)
    told = [client.post(VISITS, payload), client.get(f"{VISITS}/{payload['id']}")]
    asked = client.post(
        f"{V1}/judge", {"readings": readings, "seen": seen, "plate": {"power_hp": 1}}
    )
    found = [answer.json()["checks"][0]["worst"] for answer in told]
    assert [*found, asked.json()["worst"]] == [worst] * 3


@pytest.mark.parametrize(
    ("qualified", "codes"), [(False, ["live_readings_unqualified"]), (True, [])]
)
def test_live_readings_when_by_somebody_not_qualified_then_the_answer_cautions(
    qualified: bool, codes: list[str], roofs: Roofs, theo: Person
) -> None:
    Person.objects.update(qualified_energised_work=qualified)
    payload = look(roofs.bakery, readings=LOW)
    told = [by_key(theo).post(VISITS, payload).json()["cautions"] for _ in range(2)]
    assert [[each["code"] for each in cautions] for cautions in told] == [codes, codes]


def test_visit_when_it_tells_of_no_fan_then_cautioned_unless_it_takes_another_back(
    roofs: Roofs, theo: Person
) -> None:
    client, empty = by_key(theo), walk(roofs.bakery, checks=[])
    full = walk(roofs.bakery)
    sent = [empty, empty, full, corrected(full, checks=[])]
    told = [client.post(VISITS, each).json()["cautions"] for each in sent]
    assert [[each["code"] for each in cautions] for cautions in told] == [
        ["no_fan_told_of"], ["no_fan_told_of"], [], [],
    ]  # fmt: skip


def test_live_readings_when_dana_types_what_ines_took_then_ines_counts(
    roofs: Roofs, dana: Person
) -> None:
    Person.objects.create_user("ines", qualified_energised_work=True)
    payload = look(roofs.bakery, readings=LOW) | {"technician": "ines"}
    assert by_key(dana).post(VISITS, payload).json()["cautions"] == []


def test_visit_when_posted_again_then_the_same_answer_and_one_row(
    roofs: Roofs, theo: Person
) -> None:
    payload, client = look(roofs.bakery, readings=LOW, seen={"hinge": "broken"}), by_key(theo)
    first, again = client.post(VISITS, payload), client.post(VISITS, payload)
    assert (again.status_code, Check.objects.count(), again.json()) == (
        200, 1, {**first.json(), "created": False},
    )  # fmt: skip


def test_visit_when_posted_again_after_its_correction_then_200_with_its_own_verdicts(
    roofs: Roofs, theo: Person
) -> None:
    client, payload = by_key(theo), look(roofs.bakery, seen={"hinge": "broken"})
    client.post(VISITS, payload)
    mended = [{"fan": "EF-1", "seen": {"hinge": "sound"}}]
    client.post(VISITS, corrected(payload, checks=mended))
    answer = client.post(VISITS, payload)
    told = answer.json()
    assert (
        answer.status_code, told["superseded"], told["checks"][0]["worst"], told["due"][0]["stop"]
    ) == (200, True, "stop", "")  # fmt: skip


def test_id_when_taken_by_another_record_then_409_that_tells_nothing_of_it(
    roofs: Roofs, theo: Person, dana: Person
) -> None:
    payload = walk(roofs.diner, notes="the owner's secret")
    by_key(dana).post(VISITS, payload)
    answer = by_key(theo).post(VISITS, walk(roofs.bakery) | {"id": payload["id"]})
    assert (answer.status_code, answer.json()["code"], answer.json()["detail"]) == (
        409,
        "id_taken",
        "This id already belongs to another record; send a new record under a new id, or a "
        "correction that supersedes the old one.",
    )


@pytest.mark.parametrize("zone", ["America/Chicago", "Pacific/Auckland"])
def test_visit_when_much_is_wrong_then_all_of_it_is_pointed_at(
    zone: str, roofs: Roofs, theo: Person
) -> None:
    Site.objects.update(time_zone=zone)
    payload = walk(roofs.bakery) | {
        "id": "7", "kind": "dance", "began_at": "2026-02-30T09:10", "supersedes": str(uuid4()),
        "checks": [{"fan": "EF-9", "readings": {"volts_ab": "12 apples", "a/b~c": 1}}],
        "inspections": [{"system": "Fryers"}],
    }  # fmt: skip
    answer = by_key(theo).post(VISITS, payload)
    assert (faults(answer), Visit.objects.count()) == (
        ["#/id", "#/kind", "#/began_at", "#/checks/0/readings/volts_ab",
         "#/checks/0/readings/a~1b~0c", "#/correction_reason", "#/supersedes", "#/checks/0/fan",
         "#/inspections/0/system"],
        0,
    )  # fmt: skip


@pytest.mark.parametrize("began", ["2199-03-02T09:10", "2026-03-08T02:30"])
def test_visit_when_it_begins_when_it_cannot_then_the_rest_is_told_too(
    began: str, roofs: Roofs, theo: Person
) -> None:
    # US clocks go from 02:00 to 03:00 on 8 March 2026 (tz database).
    payload = walk(roofs.bakery, began, checks=[{"fan": "EF-9"}])
    assert faults(by_key(theo).post(VISITS, payload)) == ["#/began_at", "#/checks/0/fan"]


def test_machine_when_replaced_in_a_visit_that_is_refused_then_the_register_has_the_old_one(
    roofs: Roofs, theo: Person
) -> None:
    swap = {"fan": "EF-1", "kind": "replaced", "item": "machine", "machine": {"serial": "B"}}
    payload = walk(roofs.bakery, actions=[swap], kind="dance")
    told = faults(by_key(theo).post(VISITS, payload))
    assert (told, roofs.bakery.machines.count()) == (["#/kind"], 1)


def test_fan_when_there_is_none_of_that_tag_then_pointed_at_with_what_to_do(
    roofs: Roofs, theo: Person
) -> None:
    payload = walk(roofs.bakery, checks=[{"fan": "EF-9"}])
    (fault,) = by_key(theo).post(VISITS, payload).json()["errors"]
    assert fault == {
        "pointer": "#/checks/0/fan",
        "problem": "Alder Bakery has no such fan",
        "seen": '"EF-9"',
        "remedy": "did you mean EF-1? it may be EF-1",
    }


@pytest.mark.parametrize(
    "body",
    [
        "[]", "7", "null", '"visit"', "{}", '{"id": {}}', '{"checks": [[]]}', '{"type": []}',
        '{"checks": [{"fan": "EF-1", "readings": {"\\ud800": "\\u0000"}}]}',
        '{"began_at": "0001-01-01T00:00", "site_id": 9223372036854775808}',
        '{"began_at": "9999-12-31T23:59-14:00", "site_id": -1, "checks": {}}',
        '{"notes": "\\u0000", "owner": "\\ud800", "site": 1e400}',
    ],
)  # fmt: skip
def test_body_when_it_is_no_visit_then_400_and_nothing_is_stored(body: str, theo: Person) -> None:
    answer = by_key(theo).post(VISITS, data=body, content_type="application/json")
    assert (answer.status_code, bool(faults(answer)), Visit.objects.count()) == (400, True, 0)


# A form's field left blank: the format takes a text of blanks for what was left out.
@pytest.mark.parametrize(
    "blank", [{"decisions": " "}, {"recommendations": " "}, {"plates": " "}, {"decision": " "}]
)
def test_visit_when_a_part_is_but_blanks_then_taken_as_left_out(
    blank: dict[str, str], roofs: Roofs, theo: Person
) -> None:
    advice = {"fan": roofs.bakery.tag, "subject": "hinge", "text": "Renew the pins.", **blank}
    parts = {"recommendations": [advice]} if "decision" in blank else blank
    assert by_key(theo).post(VISITS, walk(roofs.bakery, **parts)).status_code == 201


def test_visit_when_posted_with_a_cookie_but_no_token_then_403(roofs: Roofs, theo: Person) -> None:
    client = nobody()
    client.handler.enforce_csrf_checks = True
    client.force_login(theo)
    assert client.post(f"{V1}/visits", walk(roofs.bakery)).status_code == 403


def test_visit_when_another_has_the_id_that_its_finding_would_get_then_409(
    roofs: Roofs, theo: Person
) -> None:
    finding = {"fan": roofs.bakery.tag, "subject": "hinge", "severity": "degraded"}
    payload = walk(roofs.bakery, findings=[finding])
    taken = str(part_id(UUID(payload["id"]), "/findings/0"))
    phone = by_key(theo)
    phone.post(VISITS, walk(roofs.bakery, findings=[{**finding, "id": taken}]))
    answer = phone.post(VISITS, payload)
    assert (answer.status_code, answer.json()["code"], Visit.objects.count()) == (
        409, "id_taken", 1,
    )  # fmt: skip


# What is asked for goes to PostgreSQL as the text of an array, in which all these have a meaning.
@pytest.mark.parametrize("name", ['The "Bakery"', "Back\\slash", "{a,b}", "Comma, Inc.", "NULL"])
def test_visit_when_names_hold_signs_of_an_array_then_found(
    name: str, roofs: Roofs, theo: Person
) -> None:
    site = roofs.bakery.site
    Site.objects.filter(pk=site.pk).update(name=name)
    Owner.objects.filter(pk=site.owner_id).update(name=name)
    told = {**walk(roofs.bakery), "site": name, "owner": name}
    del told["site_id"]
    assert by_key(theo).post(VISITS, told).status_code == 201


def test_visit_when_a_fan_was_not_reached_and_yet_its_list_is_answered_then_refused_in_words(
    roofs: Roofs, theo: Person
) -> None:
    """rules.md C1: what is not reached leaves a walk-through not completed."""
    missed = [{"fan": roofs.bakery.tag, "reason": "weather"}]
    answer = by_key(theo).post(VISITS, walk(roofs.bakery, not_reached=missed))
    told = answer.json()["errors"]
    assert (answer.status_code, [each["pointer"] for each in told]) == (400, ["#/not_reached/0"])
    assert "take out the answers nobody saw" in told[0]["remedy"]
    assert not Visit.objects.exists()


@pytest.mark.parametrize(("item", "status"), [("hinge", 400), ("wheel_gap", 201)])
def test_visit_when_an_item_was_not_reached_then_refused_where_that_item_is_answered(
    roofs: Roofs, theo: Person, item: str, status: int
) -> None:
    """The gap behind the wheel is no part of the list; the hinge is, and was seen."""
    missed = [{"fan": roofs.bakery.tag, "item": item, "reason": "no_access"}]
    answer = by_key(theo).post(VISITS, walk(roofs.bakery, not_reached=missed))
    assert answer.status_code == status, answer.text


def test_visit_when_a_fan_was_not_reached_but_heard_then_taken(roofs: Roofs, theo: Person) -> None:
    seen = {"running": "runs", "noise": "usual"}
    missed = [{"fan": roofs.bakery.tag, "reason": "no_access"}]
    payload = {**look(roofs.bakery, seen=seen), "not_reached": missed}
    answer = by_key(theo).post(VISITS, payload)
    assert answer.status_code == 201, answer.text
    assert answer.json()["checks"][0]["left_out"]
