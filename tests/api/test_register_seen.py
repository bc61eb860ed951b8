"""Who sees what of the register: the company all, an owner their own, nobody nothing."""

from __future__ import annotations

from typing import Any

import pytest

from fleet.models import Person, SuppliedFan
from tests.api.asking import V1, by_key, nobody
from tests.api.laid import (  # noqa: F401
    kept_dana,
    kept_olga,
    kept_roofs,
    kept_rows,
    kept_sam,
    kept_theo,
)
from tests.api.register import LISTS, Addresses, lay_register
from tests.people import Roofs

pytestmark = [pytest.mark.django_db, pytest.mark.once]
PLACES = ("blockers", "contacts", "fans", "machines", "sites", "supplied", "systems")
COMPANY = ("dana", "theo")


@pytest.fixture(scope="module")
def own(roofs: Roofs) -> tuple[Addresses, Addresses]:
    return lay_register(roofs)


@pytest.fixture
def who(request: pytest.FixtureRequest) -> Person:
    return request.getfixturevalue(request.param)


def ids(answer: Any) -> list[int]:
    return [row["id"] for row in answer.json()["results"]]


@pytest.mark.parametrize("name", LISTS)
@pytest.mark.parametrize("who", COMPANY, indirect=True)
def test_list_when_asked_by_the_company_then_all_owners_rows(
    name: str, who: Person, own: tuple[Addresses, Addresses]
) -> None:
    rows = ids(by_key(who).get(f"{V1}/{name}"))
    assert len(rows) == (3 if name in PLACES else 2)


@pytest.mark.parametrize("name", LISTS)
def test_list_when_asked_by_an_owner_then_only_their_rows(
    name: str, sam: Person, own: tuple[Addresses, Addresses]
) -> None:
    theirs = int(getattr(own[1], name).rpartition("/")[2])
    assert ids(by_key(sam).get(f"{V1}/{name}")) == [theirs]


@pytest.mark.parametrize("name", LISTS)
def test_list_when_asked_by_nobody_then_401(name: str, own: tuple[Addresses, Addresses]) -> None:
    assert nobody().get(f"{V1}/{name}").status_code == 401


@pytest.mark.parametrize("name", LISTS)
@pytest.mark.parametrize(
    ("who", "status"),
    [("dana", 200), ("theo", 200), ("olga", 200), ("sam", 404)],
    indirect=["who"],
)
def test_row_when_asked_for_then_told_to_whom_it_concerns(
    name: str, who: Person, status: int, own: tuple[Addresses, Addresses]
) -> None:
    assert by_key(who).get(getattr(own[0], name)).status_code == status


@pytest.mark.parametrize("name", LISTS)
def test_row_when_asked_for_by_nobody_then_401(name: str, own: tuple[Addresses, Addresses]) -> None:
    assert nobody().get(getattr(own[0], name)).status_code == 401


@pytest.mark.parametrize("name", LISTS)
def test_row_of_another_when_asked_for_then_answered_as_one_that_is_not_there(
    name: str, sam: Person, own: tuple[Addresses, Addresses]
) -> None:
    asker = by_key(sam)
    answers = [asker.get(address) for address in (getattr(own[0], name), f"{V1}/{name}/99999999")]
    assert answers[0].json() == answers[1].json()


@pytest.mark.parametrize(
    ("name", "parameter"),
    [
        ("agreements", "owner"), ("sites", "owner"), ("systems", "owner"), ("systems", "site"),
        ("fans", "owner"), ("fans", "site"), ("fans", "system"), ("machines", "owner"),
        ("machines", "site"), ("machines", "fan"), ("people", "owner"),
    ],
)  # fmt: skip
def test_list_when_narrowed_to_what_is_anothers_then_as_empty_as_for_an_id_that_is_not_there(
    name: str, parameter: str, sam: Person, own: tuple[Addresses, Addresses]
) -> None:
    asker, anothers = by_key(sam), getattr(own[0], f"{parameter}s").rpartition("/")[2]
    told = [
        asker.get(f"{V1}/{name}?{parameter}={pk}").json()
        for pk in (anothers, "99999999", 2**63, 10**30)
    ]
    assert told == [{"next": None, "results": []}] * 4


@pytest.mark.parametrize("name", LISTS)
@pytest.mark.parametrize("who", ["theo", "olga", "sam"], indirect=True)
def test_row_when_entered_or_edited_by_one_who_does_not_plan_then_403(
    name: str, who: Person, own: tuple[Addresses, Addresses]
) -> None:
    asker, address = by_key(who), getattr(own[0], name)
    entry = f"{own[0].fans}/machines" if name == "machines" else f"{V1}/{name}"
    told = [asker.post(entry, {}).status_code]
    told.append(asker.patch(address, {}, HTTP_IF_MATCH="*").status_code)
    assert told == [403, 403]


@pytest.mark.parametrize("name", LISTS)
def test_row_when_entered_or_edited_by_nobody_then_401(
    name: str, own: tuple[Addresses, Addresses]
) -> None:
    entry = f"{own[0].fans}/machines" if name == "machines" else f"{V1}/{name}"
    told = [nobody().post(entry, {}), nobody().patch(getattr(own[0], name), {})]
    assert [answer.status_code for answer in told] == [401, 401]


@pytest.mark.parametrize(
    ("who", "status"), [("dana", 200), ("theo", 200), ("olga", 200), ("sam", 404)],
    indirect=["who"],
)  # fmt: skip
def test_machines_of_a_fan_when_asked_for_then_told_to_whom_they_concern(
    who: Person, status: int, own: tuple[Addresses, Addresses]
) -> None:
    assert by_key(who).get(f"{own[0].fans}/machines").status_code == status


@pytest.mark.parametrize(
    "part", ["cooking/2026-01-01", "hours/2026-01-01", "expected-cleanings/2026-01-01"]
)
@pytest.mark.parametrize("who", ["theo", "olga", "sam"], indirect=True)
def test_calendar_when_changed_by_one_who_does_not_plan_then_403(
    part: str, who: Person, own: tuple[Addresses, Addresses]
) -> None:
    answer = by_key(who).put(f"{own[0].systems}/{part}", {}, HTTP_IF_MATCH="*")
    assert answer.status_code == 403


@pytest.mark.parametrize("who", ["theo", "olga", "sam"], indirect=True)
def test_closed_days_when_changed_by_one_who_does_not_plan_then_403(
    who: Person, own: tuple[Addresses, Addresses]
) -> None:
    days = f"{own[0].systems}/closed-days"
    told = [by_key(who).post(days, {"days": ["2026-12-24"]}, HTTP_IF_MATCH="*")]
    told.append(by_key(who).delete(f"{days}/2026-12-25", HTTP_IF_MATCH="*"))
    assert [answer.status_code for answer in told] == [403, 403]


def test_calendar_when_changed_by_nobody_then_401(own: tuple[Addresses, Addresses]) -> None:
    told = [
        nobody().put(f"{own[0].systems}/cooking/2026-01-01", {}),
        nobody().post(f"{own[0].systems}/closed-days", {}),
        nobody().delete(f"{own[0].systems}/closed-days/2026-12-25"),
    ]
    assert [answer.status_code for answer in told] == [401] * 3


@pytest.mark.parametrize(("who", "notes"), [("dana", "pays late"), ("olga", "")],
                         indirect=["who"])  # fmt: skip
def test_notes_on_an_agreement_when_read_then_told_to_the_company_only(
    who: Person, notes: str, own: tuple[Addresses, Addresses]
) -> None:
    assert by_key(who).get(own[0].agreements).json()["notes"] == notes


@pytest.mark.parametrize(("who", "note"), [("dana", "haggles"), ("olga", "")], indirect=["who"])
def test_note_on_a_supplied_fan_when_read_then_told_to_the_company_only(
    who: Person, note: str, own: tuple[Addresses, Addresses]
) -> None:
    SuppliedFan.objects.update(note="haggles")
    assert by_key(who).get(own[0].supplied).json()["note"] == note


@pytest.mark.parametrize(
    ("who", "names"),
    [
        ("dana", ["dana", "mara", "olga", "sam", "theo"]), ("theo", ["theo"]), ("olga", ["olga"]),
        ("sam", ["sam"]),
    ],
    indirect=["who"],
)  # fmt: skip
def test_people_when_listed_then_those_one_may_know(who: Person, names: list[str]) -> None:
    told = by_key(who).get(f"{V1}/people").json()["results"]
    assert sorted(person["name"] for person in told) == names


@pytest.mark.parametrize(
    ("who", "status"), [("dana", 200), ("theo", 404), ("olga", 200), ("sam", 404)],
    indirect=["who"],
)  # fmt: skip
def test_person_when_asked_for_then_told_to_whom_it_concerns(
    who: Person, status: int, olga: Person
) -> None:
    assert by_key(who).get(f"{V1}/people/{olga.pk}").status_code == status


def test_people_when_asked_for_by_nobody_then_401(olga: Person) -> None:
    told = [nobody().get(f"{V1}/people"), nobody().get(f"{V1}/people/{olga.pk}")]
    assert [answer.status_code for answer in told] == [401, 401]


def test_person_when_read_then_qualifications_and_nothing_of_a_password(dana: Person) -> None:
    ted = Person.objects.create_user(
        "ted", "ted@birch.example", "roof-walk-91", first_name="Ted", last_name="Birch",
        qualified_lift=True,
    )  # fmt: skip
    assert by_key(dana).get(f"{V1}/people/{ted.pk}").json() == {
        "id": ted.pk, "name": "Ted Birch", "role": "technician", "owner": None,
        "email": "ted@birch.example", "language": "en", "qualified_for": ["lift"],
        "is_active": True,
    }  # fmt: skip
