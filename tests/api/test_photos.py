"""Photos sent through the API: once, by whom they may, with every fault told; and taken out."""

from __future__ import annotations

from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest

from fleet.models import Person
from tests.api.asking import V1, by_key, faults, nobody
from tests.api.logs import VISITS, corrected
from tests.api.photos import PHOTOS, send, visited
from tests.people import Roofs
from tests.visits.photographs import exif, opened, photo
from visits.models import Finding, Photo

pytestmark = pytest.mark.django_db
Payload = dict[str, Any]
REASON = {"reason": "It was the neighbour's roof."}


@pytest.mark.parametrize(
    ("who", "status"), [("dana", 201), ("theo", 201), ("olga", 403), ("sam", 403)]
)
def test_photo_when_sent_then_only_by_the_company(
    who: str, status: int, visit: Payload, request: pytest.FixtureRequest
) -> None:
    answer = send(by_key(request.getfixturevalue(who)), visit)
    assert (answer.status_code, Photo.objects.count()) == (status, status == 201)


def test_photo_when_sent_by_nobody_then_401(visit: Payload) -> None:
    assert send(nobody(), visit).status_code == 401


def test_photo_when_sent_then_told_as_kept(visit: Payload, roofs: Roofs, theo: Person) -> None:
    words = {"fan": "ef-1", "subject": "hinge", "caption": "north pin", "id": str(uuid4())}
    answer = send(
        by_key(theo), visit, photo((4000, 3000)), taken_at="2026-03-02T09:12", **words
    )  # fmt: skip
    fan = {"id": roofs.bakery.pk, "tag": "EF-1"}
    told, address = answer.json(), f"http://testserver{PHOTOS}/{words['id']}"
    stored = Photo.objects.get()
    assert (answer["Location"], told) == (address, {
        "id": words["id"], "visit": visit["id"], "fan": fan, "finding": None,
        "site": {"id": roofs.bakery.site_id, "name": "Alder Bakery"},
        "subject": "hinge", "caption": "north pin", "taken_at": "2026-03-02T15:12:00Z",
        "recorded_by": "theo", "received_at": told["received_at"], "width": 2048, "height": 1536,
        "bytes": stored.bytes, "image": f"{address}/image", "thumbnail": f"{address}/thumbnail",
        "withdrawn": None,
    })  # fmt: skip


def test_photo_when_sent_again_then_200_with_the_stored_answer_and_no_more_files(
    visit: Payload, theo: Person, photo_folder: Path
) -> None:
    client, id_ = by_key(theo), str(uuid4())
    first, again = (
        send(client, visit, id=id_, fan="EF-1", taken_at="2026-03-02T09:12") for _ in range(2)
    )
    files = [path for path in photo_folder.rglob("*") if path.is_file()]
    assert (first.status_code, again.status_code, again.json(), len(files)) == (
        201, 200, first.json(), 2,
    )  # fmt: skip


@pytest.mark.parametrize("other", [{"data": photo((9, 9))}, {"caption": "another"}])
def test_photo_when_another_is_sent_under_its_id_then_409_that_tells_nothing_of_it(
    visit: Payload, theo: Person, dana: Person, other: Payload
) -> None:
    id_ = str(uuid4())
    send(by_key(theo), visit, id=id_)
    answer = send(by_key(dana), visit, id=id_, **other)
    assert (answer.status_code, answer.json()["code"], answer.json()["detail"]) == (
        409, "id_taken", "This id already belongs to another photo; send it under a new id.",
    )  # fmt: skip


def test_photo_when_its_id_is_of_one_of_another_visit_then_409(
    visit: Payload, roofs: Roofs, theo: Person
) -> None:
    id_, client = str(uuid4()), by_key(theo)
    send(client, visited(roofs.diner, theo), id=id_)
    assert send(client, visit, id=id_).status_code == 409


def test_photo_when_its_visit_is_not_logged_yet_then_404_and_later_taken(
    visit: Payload, theo: Person
) -> None:
    client, words = by_key(theo), {"id": str(uuid4())}
    early = send(client, {"id": str(uuid4())}, **words)
    assert (early.status_code, send(client, visit, **words).status_code) == (404, 201)


def test_photo_when_its_visit_came_under_capitals_then_found_under_them(
    roofs: Roofs, theo: Person
) -> None:
    # RFC 9562, 4: a UUID reads the same in capitals, in which many phones write theirs.
    visit = visited(roofs.bakery, theo, id=str(uuid4()).upper())
    id_ = str(uuid4()).upper()
    sent = send(by_key(theo), visit, id=id_)
    found = by_key(theo).get(f"{PHOTOS}/{id_}/image")
    assert (sent.status_code, found.status_code) == (201, 200)


def test_photo_when_its_visit_was_corrected_meanwhile_then_taken(
    visit: Payload, theo: Person
) -> None:
    client = by_key(theo)
    client.post(VISITS, corrected(visit))
    assert send(client, visit).status_code == 201


@pytest.mark.parametrize(
    ("words", "at"),
    [
        ({"id": "7"}, ["id"]),
        ({"id": ""}, ["id"]),
        ({"fan": "EF-9"}, ["fan"]),
        ({"subject": "hinge"}, ["fan"]),
        ({"fan": "EF-1", "subject": "soul"}, ["subject"]),
        ({"finding": "5f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0f01"}, ["finding"]),
        ({"finding": "x", "caption": "x" * 251}, ["finding", "caption"]),
        ({"caption": "bell\x07"}, ["caption"]),
        ({"taken_at": "yesterday"}, ["taken_at"]),
        # skipped at two in the morning (US Energy Policy Act of 2005)
        ({"taken_at": "2026-03-08T02:30"}, ["taken_at"]),
        ({"taken_at": "9999-12-31T23:59-14:00"}, ["taken_at"]),
        ({"taken_at": "2199-12-31T23:59Z"}, ["taken_at"]),
        ({"colour": "red"}, ["colour"]),
    ],
)
def test_words_when_wrong_then_each_is_pointed_at_and_nothing_is_kept(
    words: Payload, at: list[str], visit: Payload, theo: Person, photo_folder: Path
) -> None:
    answer = send(by_key(theo), visit, **words)
    assert (answer.status_code, faults(answer), photo_folder.exists()) == (400, at, False)


def test_words_when_told_twice_then_pointed_at(visit: Payload, theo: Person) -> None:
    address = f"{VISITS}/{visit['id']}/photos?id={uuid4()}&fan=EF-1&fan=EF-2"
    answer = by_key(theo).post(address, photo(), content_type="image/jpeg")
    assert (answer.status_code, faults(answer)) == (400, ["fan"])


def test_fan_when_the_visit_tells_nothing_of_it_then_what_to_do(
    visit: Payload, theo: Person
) -> None:
    (fault,) = send(by_key(theo), visit, fan="EF-9").json()["errors"]
    assert fault == {
        "parameter": "fan", "problem": "the visit tells nothing of this fan", "seen": '"EF-9"',
        "remedy": "did you mean EF-1? it may be EF-1",
    }  # fmt: skip


def test_moment_when_its_offset_came_as_a_space_then_read_all_the_same(
    visit: Payload, theo: Person
) -> None:
    address = f"{VISITS}/{visit['id']}/photos?id={uuid4()}&taken_at=2026-03-02T15:12:00+00:00"
    answer = by_key(theo).post(address, photo(), content_type="image/jpeg")
    assert answer.json()["taken_at"] == "2026-03-02T15:12:00Z"


def test_finding_when_named_then_it_tells_fan_and_subject(roofs: Roofs, theo: Person) -> None:
    found = [{"fan": "EF-1", "subject": "hinge", "severity": "degraded"}]
    payload = visited(roofs.bakery, theo, findings=found)
    told = send(by_key(theo), payload, finding=str(Finding.objects.get().pk)).json()
    assert (told["finding"], told["fan"]["tag"], told["subject"]) == (
        str(Finding.objects.get().pk), "EF-1", "hinge",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "data", "problem"),
    [
        ("image/heic", b"\0\0\0\x18ftypheic\0\0\0\0mif1", "this is HEIC or of its kind"),
        ("image/jpeg", b"", "nothing was sent"),
        ("image/jpeg", b"<svg onload='alert(1)'/>", "this is a page or a drawing in markup"),
        ("application/octet-stream", photo()[:300], "the picture is damaged or cut short"),
    ],
)
def test_picture_when_it_cannot_be_taken_then_400_with_what_to_do(
    kind: str, data: bytes, problem: str, visit: Payload, theo: Person
) -> None:
    answer = send(by_key(theo), visit, data, kind=kind)
    (fault,) = answer.json()["errors"]
    assert (answer.status_code, fault["pointer"], problem in fault["problem"]) == (400, "#", True)


@pytest.mark.parametrize("kind", ["image/png", "image/x-whatever", "application/octet-stream"])
def test_picture_when_called_something_else_then_its_content_counts(
    kind: str, visit: Payload, theo: Person
) -> None:
    assert send(by_key(theo), visit, kind=kind).status_code == 201


@pytest.mark.parametrize(
    "kind", ["application/json", "multipart/form-data; boundary=x", "text/html"]
)
def test_body_when_of_no_picture_type_then_415(kind: str, visit: Payload, theo: Person) -> None:
    assert send(by_key(theo), visit, b"{}", kind=kind).status_code == 415


def test_body_when_too_large_then_413(visit: Payload, theo: Person) -> None:
    assert send(by_key(theo), visit, b"\xff\xd8\xff" + b"\0" * 20_000_000).status_code == 413


@pytest.mark.parametrize("keep", [True, False])
def test_position_when_the_setting_says_so_then_kept_else_removed(
    keep: bool, visit: Payload, theo: Person, settings: Any
) -> None:
    settings.PHOTO_KEEP_POSITION = keep
    client = by_key(theo)
    address = send(client, visit, photo(exif=exif())).json()["image"]
    assert bool(dict(opened(client.get(address).content).getexif())) is keep


def test_visit_when_it_has_enough_photos_then_no_more(
    visit: Payload, theo: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("visits.services.photos.MOST_OF_A_VISIT", 1)
    told = [send(by_key(theo), visit) for _ in range(2)]
    assert ([each.status_code for each in told], faults(told[1])) == ([201, 400], ["#"])


def test_storage_when_it_takes_nothing_then_503_and_no_row(
    visit: Payload, theo: Person, photo_folder: Path
) -> None:
    photo_folder.write_text("a file where the folder should be")
    answer = send(by_key(theo), visit)
    assert (answer.status_code, answer.json()["code"], Photo.objects.count()) == (
        503, "not_kept", 0,
    )  # fmt: skip


def test_photo_when_sent_with_a_cookie_but_no_token_then_403(visit: Payload, theo: Person) -> None:
    client = nobody()
    client.handler.enforce_csrf_checks = True
    client.force_login(theo)
    assert send(client, visit).status_code == 403


@pytest.mark.parametrize(
    ("who", "status"), [("dana", 200), ("theo", 200), ("ines", 403), ("olga", 403), ("sam", 403)]
)
def test_photo_when_taken_out_then_by_who_sent_it_or_who_plans(
    who: str, status: int, visit: Payload, theo: Person, request: pytest.FixtureRequest
) -> None:
    address = f"{PHOTOS}/{send(by_key(theo), visit).json()['id']}/withdrawal"
    ines = Person.objects.create_user("ines", role=Person.Role.TECHNICIAN)
    client = by_key(ines if who == "ines" else request.getfixturevalue(who))
    answer = client.post(address, REASON)
    assert (answer.status_code, Photo.objects.standing().count()) == (status, status != 200)


def test_photo_when_taken_out_then_who_when_and_why_stay_on_record(
    visit: Payload, theo: Person, dana: Person
) -> None:
    id_ = send(by_key(theo), visit).json()["id"]
    withdrawn = by_key(dana).post(f"{PHOTOS}/{id_}/withdrawal", REASON).json()["withdrawn"]
    assert (withdrawn["by"], withdrawn["reason"]) == ("dana", REASON["reason"])


def test_photo_when_taken_out_again_then_as_it_was_and_409_for_another_reason(
    visit: Payload, theo: Person
) -> None:
    client = by_key(theo)
    address = f"{PHOTOS}/{send(client, visit).json()['id']}/withdrawal"
    first, again = (client.post(address, REASON) for _ in range(2))
    other = client.post(address, {"reason": "blurred"})
    assert (again.json(), other.status_code) == (first.json(), 409)


def test_photo_when_sent_again_after_it_was_taken_out_then_200_and_still_out(
    visit: Payload, theo: Person
) -> None:
    client, id_ = by_key(theo), str(uuid4())
    send(client, visit, id=id_)
    client.post(f"{PHOTOS}/{id_}/withdrawal", REASON)
    again = send(client, visit, id=id_)
    assert (again.status_code, again.json()["withdrawn"]["reason"]) == (200, REASON["reason"])


@pytest.mark.parametrize(
    ("body", "at"),
    [({}, "#/reason"), ({"reason": " "}, "#/reason"), ({"reason": "x", "y": 1}, "#/y")],
)
def test_photo_when_taken_out_without_a_reason_then_pointed_at(
    body: Payload, at: str, visit: Payload, theo: Person
) -> None:
    client = by_key(theo)
    address = f"{PHOTOS}/{send(client, visit).json()['id']}/withdrawal"
    assert faults(client.post(address, body)) == [at]


@pytest.mark.parametrize("who", ["theo", "nobody"])
def test_photo_when_there_is_none_then_404_and_401_for_nobody(who: str, theo: Person) -> None:
    client = by_key(theo) if who == "theo" else nobody()
    asked = f"{V1}/photos/{uuid4()}"
    told = [client.get(f"{asked}{part}") for part in ("", "/image", "/thumbnail")]
    told.append(client.post(f"{asked}/withdrawal", REASON))
    assert {each.status_code for each in told} == {404 if who == "theo" else 401}
