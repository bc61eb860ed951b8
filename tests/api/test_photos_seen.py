"""Who is shown which photos and how: as pictures only, kept by nobody but who asked."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from fleet.models import Person
from tests.api.asking import by_key, nobody
from tests.api.logs import VISITS, corrected
from tests.api.photos import PHOTOS, send, visited
from tests.people import Roofs, signed_in
from tests.visits.photographs import opened, photo

pytestmark = pytest.mark.django_db
Payload = dict[str, Any]
WHO = [("dana", 200), ("theo", 200), ("olga", 200), ("sam", 404)]


@pytest.fixture
def kept(visit: Payload, theo: Person) -> Payload:
    """A photo at the bakery, as told when it was sent."""
    told: Payload = send(by_key(theo), visit, photo((640, 480)), fan="EF-1").json()
    return told


def ids(answer: Any) -> list[str]:
    return [each["id"] for each in answer.json()["results"]]


@pytest.mark.parametrize("part", ["", "/image", "/thumbnail"])
@pytest.mark.parametrize(("who", "status"), WHO)
def test_photo_when_asked_for_then_shown_to_whom_it_concerns(
    who: str, status: int, part: str, kept: Payload, request: pytest.FixtureRequest
) -> None:
    client = by_key(request.getfixturevalue(who))
    assert client.get(f"{PHOTOS}/{kept['id']}{part}").status_code == status


@pytest.mark.parametrize("part", ["", "/image", "/thumbnail"])
def test_photo_of_another_when_asked_for_then_answered_as_one_that_is_not_there(
    part: str, kept: Payload, sam: Person
) -> None:
    told = [by_key(sam).get(f"{PHOTOS}/{id_}{part}").json() for id_ in (kept["id"], uuid4())]
    assert told[0] == told[1]


@pytest.mark.parametrize("part", ["", "/image", "/thumbnail"])
def test_photo_when_asked_for_by_nobody_then_401(part: str, kept: Payload) -> None:
    assert nobody().get(f"{PHOTOS}/{kept['id']}{part}").status_code == 401


@pytest.mark.parametrize(("part", "size"), [("image", (640, 480)), ("thumbnail", (320, 240))])
def test_picture_when_served_then_a_jpeg_that_can_run_nothing(
    part: str, size: tuple[int, int], kept: Payload, olga: Person
) -> None:
    answer = signed_in(olga).get(kept[part].removeprefix("http://testserver"))
    ending = "" if part == "image" else "-small"
    heads = ("Content-Type", "X-Content-Type-Options", "Content-Security-Policy",
             "Cache-Control", "Content-Disposition", "Cross-Origin-Resource-Policy")  # fmt: skip
    assert (opened(answer.content).size, [answer[each] for each in heads]) == (
        size,
        ["image/jpeg", "nosniff", "default-src 'none'; style-src 'unsafe-inline'; sandbox",
         "private, no-cache",
         f'inline; filename="{kept["id"]}{ending}.jpg"', "same-origin"],
    )  # fmt: skip


def test_picture_when_its_asker_has_it_then_304_and_nothing_more(
    kept: Payload, theo: Person
) -> None:
    client = by_key(theo)
    tag = client.get(kept["image"])["ETag"]
    answer = client.get(kept["image"], HTTP_IF_NONE_MATCH=tag)
    assert (answer.status_code, answer.content, answer["ETag"], answer["Cache-Control"]) == (
        304, b"", tag, "private, no-cache",
    )  # fmt: skip


def test_picture_when_its_stranger_has_its_tag_then_404(
    kept: Payload, theo: Person, sam: Person
) -> None:
    tag = by_key(theo).get(kept["image"])["ETag"]
    assert by_key(sam).get(kept["image"], HTTP_IF_NONE_MATCH=tag).status_code == 404


@pytest.mark.parametrize("accept", ["image/jpeg", "image/avif,image/webp,*/*;q=0.8", "*/*"])
def test_picture_when_only_pictures_are_accepted_then_served(
    accept: str, kept: Payload, theo: Person
) -> None:
    answer = by_key(theo).get(kept["image"], HTTP_ACCEPT=accept)
    assert (answer.status_code, answer["Content-Type"]) == (200, "image/jpeg")


def test_picture_when_only_pictures_are_accepted_and_there_is_none_then_a_problem(
    theo: Person,
) -> None:
    answer = by_key(theo).get(f"{PHOTOS}/{uuid4()}/image", HTTP_ACCEPT="image/jpeg")
    assert (answer.status_code, answer["Content-Type"], answer.json()["code"]) == (
        404, "application/problem+json", "not_found",
    )  # fmt: skip


def test_picture_when_its_file_is_lost_then_404(
    kept: Payload, theo: Person, photo_folder: Any
) -> None:
    for path in photo_folder.rglob("*.jpg"):
        path.unlink()
    assert by_key(theo).get(kept["image"]).status_code == 404


def test_pictures_when_their_folder_is_guessed_then_no_address_leads_there(
    kept: Payload, dana: Person, photo_folder: Any
) -> None:
    paths = [path.relative_to(photo_folder) for path in photo_folder.rglob("*.jpg")]
    asked = [
        f"/{prefix}{path}" for path in paths for prefix in ("", "photos/", "media/", "static/")
    ]
    assert {signed_in(dana).get(each).status_code for each in asked} == {404}


def test_files_when_kept_then_nobody_may_run_them(kept: Payload, photo_folder: Any) -> None:
    modes = {path.stat().st_mode & 0o777 for path in photo_folder.rglob("*.jpg")}
    assert modes == {0o640}


@pytest.mark.parametrize(("who", "seen"), [("dana", 2), ("theo", 2), ("olga", 1), ("sam", 1)])
def test_photos_when_listed_then_only_what_is_theirs_to_see(
    who: str, seen: int, kept: Payload, roofs: Roofs, theo: Person, request: pytest.FixtureRequest
) -> None:
    send(by_key(theo), visited(roofs.diner, theo))
    client = by_key(request.getfixturevalue(who))
    sites = [f"?site={fan.site_id}" for fan in (roofs.bakery, roofs.diner)]
    narrowed = [len(ids(client.get(f"{PHOTOS}{each}"))) for each in sites]
    assert (len(ids(client.get(PHOTOS))), sum(narrowed)) == (seen, seen)


@pytest.mark.parametrize(("who", "status"), WHO)
def test_photos_of_a_visit_when_listed_then_to_whom_it_concerns(
    who: str, status: int, kept: Payload, request: pytest.FixtureRequest
) -> None:
    client = by_key(request.getfixturevalue(who))
    assert client.get(f"{VISITS}/{kept['visit']}/photos").status_code == status


def test_photos_when_asked_for_by_nobody_then_401(kept: Payload) -> None:
    told = [nobody().get(each) for each in (PHOTOS, f"{VISITS}/{kept['visit']}/photos")]
    assert [answer.status_code for answer in told] == [401, 401]


def test_photos_when_narrowed_to_a_fan_then_its_own(
    kept: Payload, visit: Payload, roofs: Roofs, theo: Person
) -> None:
    client = by_key(theo)
    send(client, visit)
    told = [ids(client.get(f"{PHOTOS}?fan={fan.pk}")) for fan in (roofs.bakery, roofs.diner)]
    assert told == [[kept["id"]], []]


def test_photos_when_listed_by_pages_then_each_once_and_newest_first(
    kept: Payload, visit: Payload, theo: Person
) -> None:
    client = by_key(theo)
    newer = send(client, visit).json()["id"]
    first = client.get(f"{PHOTOS}?limit=1")
    assert (ids(first), ids(client.get(first.json()["next"]))) == ([newer], [kept["id"]])


def test_photos_when_asked_what_the_list_does_not_know_then_400(theo: Person) -> None:
    assert by_key(theo).get(f"{PHOTOS}?colour=red").status_code == 400


def test_photos_when_more_are_listed_then_no_more_questions_to_the_database(
    kept: Payload, visit: Payload, theo: Person
) -> None:
    client, counts = by_key(theo), []
    for _ in range(2):
        with CaptureQueriesContext(connection) as asked:
            client.get(PHOTOS)
        counts.append(len(asked))
        send(client, visit, fan="EF-1")
    assert counts[0] == counts[1]


def test_photos_when_their_visit_was_corrected_twice_then_shown_with_each_correction(
    kept: Payload, visit: Payload, theo: Person
) -> None:
    client = by_key(theo)
    second = corrected(visit)
    third = corrected(second)
    for each in (second, third):
        client.post(VISITS, each)
    own = send(client, third).json()["id"]
    told = [ids(client.get(f"{VISITS}/{each['id']}/photos")) for each in (visit, second, third)]
    assert told == [[kept["id"]], [kept["id"]], [own, kept["id"]]]


@pytest.mark.parametrize(
    ("who", "told", "pictures", "listed"),
    [("dana", 200, 200, 1), ("theo", 200, 404, 1), ("olga", 404, 404, 0), ("sam", 404, 404, 0)],
)
def test_photo_when_taken_out_then_told_to_the_company_and_shown_to_who_plans(
    who: str, told: int, pictures: int, listed: int, kept: Payload, theo: Person,
    request: pytest.FixtureRequest,
) -> None:  # fmt: skip
    address = f"{PHOTOS}/{kept['id']}"
    by_key(theo).post(f"{address}/withdrawal", {"reason": "It was the neighbour's roof."})
    client = by_key(request.getfixturevalue(who))
    asked = [client.get(f"{address}{part}").status_code for part in ("", "/image", "/thumbnail")]
    lists = [len(ids(client.get(f"{PHOTOS}{each}"))) for each in ("", "?withdrawn=true")]
    assert (asked, lists) == ([told, pictures, pictures], [0, listed])


@pytest.mark.parametrize("who", ["olga", "sam"])
def test_photo_when_an_owner_takes_it_out_or_sends_then_403(
    who: str, kept: Payload, request: pytest.FixtureRequest
) -> None:
    client = by_key(request.getfixturevalue(who))
    told = [client.post(f"{PHOTOS}/{kept['id']}/withdrawal", {"reason": "x"})]
    told.append(send(client, {"id": kept["visit"]}))
    assert [answer.status_code for answer in told] == [403, 403]


def test_picture_when_asked_by_a_browser_not_signed_in_then_401(kept: Payload) -> None:
    assert Client().get(kept["image"]).status_code == 401
