"""The same photo sent by several at the same moment: one row, its two files, one answer."""

from __future__ import annotations

from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest

from fleet.models import Person
from tests.api.photos import PHOTOS, send
from tests.api.test_log_races import at_once
from tests.visits.photographs import photo
from visits.models import Photo

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]
Payload = dict[str, Any]


def test_photo_when_sent_by_four_at_once_then_one_row_and_one_pair_of_files(
    visit: Payload, theo: Person, photo_folder: Path
) -> None:
    id_ = str(uuid4())
    answers = at_once(theo, [lambda phone: send(phone, visit, id=id_, fan="EF-1")] * 4)
    stored = Photo.objects.get()
    files = sorted(path.stem for path in photo_folder.rglob("*.jpg"))
    name = stored.stored_as.rpartition("/")[2]
    assert (sorted(each.status_code for each in answers), files) == (
        [200, 200, 200, 201], [name, f"{name}-small"],
    )  # fmt: skip
    assert len({str(each.json()) for each in answers}) == 1


def test_photos_when_two_are_sent_under_one_id_at_once_then_one_is_refused(
    visit: Payload, theo: Person
) -> None:
    id_, sizes = str(uuid4()), ((40, 30), (30, 40))
    answers = at_once(
        theo, [lambda phone, size=each: send(phone, visit, photo(size), id=id_) for each in sizes]
    )
    codes = sorted(each.status_code for each in answers)
    assert (codes, Photo.objects.count()) == ([201, 409], 1)


def test_photo_when_taken_out_by_two_at_once_then_one_reason_stands(
    visit: Payload, theo: Person
) -> None:
    id_ = str(uuid4())
    at_once(theo, [lambda phone: send(phone, visit, id=id_)])
    reasons = ("blurred", "the wrong roof")
    answers = at_once(
        theo,
        [
            lambda phone, why=each: phone.post(f"{PHOTOS}/{id_}/withdrawal", {"reason": why})
            for each in reasons
        ],
    )
    told = {each.json()["withdrawn"]["reason"] for each in answers if each.status_code == 200}
    assert (sorted(each.status_code for each in answers), told) == (
        [200, 409], {Photo.objects.get().withdrawn_reason},
    )  # fmt: skip
