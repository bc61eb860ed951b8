"""Every refusal says what was wrong, what was seen, and what to do."""

from __future__ import annotations

import re
from typing import Any

import pytest

from fleet.models import Fan, Person
from tests.api.asking import V1, by_key, nobody
from tests.api.logs import walk
from tests.people import Roofs

pytestmark = [pytest.mark.django_db, pytest.mark.once]


@pytest.mark.parametrize(
    ("member", "value", "problem", "seen", "remedy"),
    [
        ("surroundings", "seaside", "no such word", "seaside",
         "give one of inland, coastal, corrosive"),
        ("latitude", "NaN", "this is no number", "NaN", "write one without quotes"),
        ("latitude", 91, "this is too much", "91", "give 90 or less"),
        ("access_minutes", -3, "this is too little", "-3", "give 0 or more"),
        ("name", "", "this text is empty", "", "write something, or leave it out"),
        ("name", None, "null is no value here", None, "send one, or leave it out"),
        ("country", "USA", "this is too long", "USA", "give at most 2 characters"),
        ("roof_access_hours", 7, "these are no hours", "7",
         "write them as in Mon-Sat 10:00-23:00"),
        ("owner", 1, "this is not changed here", "1", "leave it out"),
        ("colour", "red", "there is no such member", "red", None),
    ],
)  # fmt: skip
def test_member_when_it_cannot_be_taken_then_problem_value_and_remedy(
    member: str, value: Any, problem: str, seen: str | None, remedy: str | None,
    roofs: Roofs, dana: Person,
) -> None:  # fmt: skip
    site = roofs.bakery.site_id
    answer = by_key(dana).patch(f"{V1}/sites/{site}", {member: value}, HTTP_IF_MATCH="*")
    (told,) = answer.json()["errors"]
    known = remedy or told["remedy"]
    assert (told, answer.status_code) == (
        {"pointer": f"#/{member}", "problem": problem, "remedy": known}
        | ({} if seen is None else {"seen": seen}),
        400,
    )


def test_site_when_entered_without_what_must_be_there_then_told_to_send_it(dana: Person) -> None:
    told = by_key(dana).post(f"{V1}/sites", {"owner": 999}).json()["errors"]
    assert {each["pointer"]: (each["problem"], each["remedy"]) for each in told} == {
        "#/name": ("this is missing", "send it"),
        "#/time_zone": ("this is missing", "send it"),
        "#/owner": (
            "there is no such row, or it is not yours to see", "give an id that a list told",
        ),
    }  # fmt: skip


def test_fan_when_its_tag_is_taken_then_told_what_to_do(roofs: Roofs, dana: Person) -> None:
    payload = {"system": roofs.bakery.system_id, "tag": roofs.bakery.tag}
    (told,) = by_key(dana).post(f"{V1}/fans", payload).json()["errors"]
    assert told == {
        "pointer": "#/tag", "problem": "there is one on record already", "seen": "EF-1",
        "remedy": "edit that one, or give another",
    }  # fmt: skip


@pytest.mark.parametrize("header", ["", "Token", "Token 12", f"Token {'0' * 64}"])
def test_asking_when_without_a_key_of_ours_then_told_how_to_get_one(header: str) -> None:
    answer = nobody().get(f"{V1}/due", **({"HTTP_AUTHORIZATION": header} if header else {}))
    assert (answer.status_code, "POST /api/v1/keys" in answer.json()["detail"]) == (401, True)


def test_method_when_the_address_does_not_take_it_then_told_which_it_takes(dana: Person) -> None:
    answer = by_key(dana).put(f"{V1}/due", {})
    assert (answer.status_code, answer.json()["detail"]) == (
        405, "PUT is not taken at this address; it takes GET, HEAD, OPTIONS.",
    )  # fmt: skip


def test_body_when_of_another_type_then_told_which_is_taken(dana: Person) -> None:
    answer = by_key(dana).post(f"{V1}/visits", data="a=1", content_type="text/plain")
    assert (answer.status_code, answer.json()["detail"]) == (
        415, "A body of type 'text/plain' is not taken; send application/json.",
    )  # fmt: skip


def test_edit_when_the_role_may_not_then_told_who_may(roofs: Roofs, theo: Person) -> None:
    address = f"{V1}/sites/{roofs.bakery.site_id}"
    answer = by_key(theo).patch(address, {"name": "Mine"}, HTTP_IF_MATCH="*")
    assert (answer.status_code, answer.json()["detail"]) == (
        403,
        "A technician may look at this, but not change it; ask one who may: dispatcher, manager.",
    )


def test_system_when_there_is_none_of_that_name_then_named_as_in_the_register(
    roofs: Roofs, theo: Person
) -> None:
    payload = walk(roofs.bakery, inspections=[{"system": "Fryers"}])
    (told,) = by_key(theo).post(f"{V1}/visits", payload).json()["errors"]
    assert (told["pointer"], told["remedy"]) == (
        "#/inspections/0/system", "it may be Main line",
    )  # fmt: skip


def test_word_when_many_others_were_meant_then_told_where_the_api_lists_them(
    roofs: Roofs, theo: Person
) -> None:
    for number in range(20):
        Fan.objects.create(
            site=roofs.bakery.site, system=roofs.bakery.system, tag=f"MF-{number}",
            entered_on="2026-01-01",
        )  # fmt: skip
    checks = [{"fan": "XX-9", "readings": {"zorks": 1}}]
    told = by_key(theo).post(f"{V1}/visits", walk(roofs.bakery, checks=checks)).json()["errors"]
    assert [re.search(r" and \d+ more, (.+)", each["remedy"])[1] for each in told] == [
        "all listed at /api/v1/", "all listed by GET /api/v1/fans",
    ]  # fmt: skip


def test_visit_when_it_lies_in_the_future_then_seen_as_it_was_sent(
    roofs: Roofs, theo: Person
) -> None:
    payload = walk(roofs.bakery, "2199-03-02T09:10:00")
    (told,) = by_key(theo).post(f"{V1}/visits", payload).json()["errors"]
    assert (told["pointer"], told["seen"]) == ("#/began_at", '"2199-03-02T09:10:00"')


def test_parameters_when_over_a_thousand_then_400_for_anybody() -> None:
    answer = nobody().get(f"{V1}/due?" + "&".join(f"a{number}=1" for number in range(1_001)))
    assert (answer.status_code, answer.json()["detail"]) == (
        400, "There are over 1000 parameters; send fewer.",
    )  # fmt: skip
