"""Photos on a fan's page: small, beside the entry they belong to, each leading to the large one."""

from __future__ import annotations

import re
from typing import Any
from uuid import UUID, uuid4

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.db import connection
from django.test.utils import CaptureQueriesContext
from playwright.sync_api import Page

from fleet.models import Fan, Person
from tests.pages.fan_visits import lacking, log, told
from tests.people import sign_in, signed_in
from tests.visits.photographs import photo
from tests.visits.roofs import NOW, WITHIN, check
from visits.models import Photo, Visit
from visits.services import attach_photo, withdraw_photo

Payload = dict[str, Any]


def attach(visit: Payload, size: tuple[int, int] = (640, 480), **words: str) -> Photo:
    """A photo of the logged visit."""
    kept = Visit.objects.get(pk=UUID(visit["id"]))
    words = {"id": str(uuid4()), **words}
    return attach_photo(visit=kept, told=words, data=photo(size), by=None, now=NOW).photo


def pictures(fan: Fan, person: Person) -> list[str]:
    """The pictures of each entry of the page, from above."""
    body = signed_in(person).get(f"/fans/{fan.pk}/").content.decode()
    return [
        " ".join(re.findall(r'src="/api/v1/photos/([^/]+)/thumbnail"', entry))
        for entry in body.split("<article")[1:]
    ]


def test_photo_when_of_the_fan_then_small_with_its_name_and_a_way_to_the_large_one(
    fan: Fan, dana: Person
) -> None:
    kept = attach(log(check()), fan="EF-1", subject="hinge", caption="north pin")
    body = signed_in(dana).get(f"/fans/{fan.pk}/").content.decode()
    address = f"/api/v1/photos/{kept.pk}"
    parts = (
        f'<a href="{address}/image">',
        f'<img src="{address}/thumbnail" width="320" height="240" loading="lazy" '
        'alt="Photo of EF-1: Hinge: north pin">',
        "<figcaption>Hinge: north pin</figcaption>",
    )
    assert lacking(body, *parts) == []


def test_photo_when_of_another_fan_then_not_here_but_one_of_the_whole_visit_is(
    fan: Fan, dana: Person
) -> None:
    visit = log(check(), check("EF-2"))
    attach(visit, fan="EF-2")
    whole = attach(visit)
    assert pictures(fan, dana) == [str(whole.pk)]


def test_photo_when_its_words_are_markup_then_shown_as_words(fan: Fan, dana: Person) -> None:
    attach(log(check()), caption='"><script>alert(1)</script>')
    assert "<script>alert" not in signed_in(dana).get(f"/fans/{fan.pk}/").content.decode()


def test_entry_when_within_but_with_a_photo_then_not_folded(fan: Fan, dana: Person) -> None:
    attach(log(check(seen=WITHIN), on="2026-02-02"), fan="EF-1")
    log(check(seen=WITHIN))
    assert "<summary>" not in signed_in(dana).get(f"/fans/{fan.pk}/").content.decode().split(
        "<article"
    )[-1]  # fmt: skip


def test_visit_when_corrected_then_its_photos_are_with_both(fan: Fan, dana: Person) -> None:
    old = log(check())
    kept = attach(old, fan="EF-1")
    new = log(check(), supersedes=old["id"], correction_reason="wrong day")
    own = attach(new)
    assert set(pictures(fan, dana)) == {f"{own.pk} {kept.pk}", str(kept.pk)}


@pytest.mark.parametrize(("works_here", "is_told"), [(True, True), (False, False)])
def test_photo_when_taken_out_then_gone_and_the_company_is_told_why(
    works_here: bool, is_told: bool, fan: Fan, dana: Person
) -> None:
    kept = attach(log(check()), fan="EF-1")
    withdraw_photo(photo=kept, reason="the wrong roof", by=dana, now=NOW)
    owner = Person.objects.create_user("otto", role=Person.Role.OWNER, owner=fan.site.owner)
    reader = dana if works_here else owner
    line = "Photo taken out by dana, Mon 15 Jun 2026: the wrong roof"
    assert (pictures(fan, reader), line in told(fan, reader)) == ([""], is_told)


def test_fan_when_it_has_more_photos_then_no_more_questions_to_the_database(
    fan: Fan, dana: Person
) -> None:
    client, counts, visit = signed_in(dana), [], log(check())
    for _ in range(3):
        attach(visit, fan="EF-1")
        with CaptureQueriesContext(connection) as asked:
            client.get(f"/fans/{fan.pk}/")
        counts.append(len(asked))
    assert len(set(counts)) == 1


def test_photo_when_asked_by_nobody_then_sign_in_first(fan: Fan, client: Any) -> None:
    attach(log(check()), fan="EF-1")
    assert client.get(f"/fans/{fan.pk}/")["Location"].startswith("/login/")


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_photos_when_read_on_a_phone_then_shown_without_fault_and_opened_large(
    scheme: Any, page: Page, fan: Fan, dana: Person
) -> None:
    visit = log(check(seen={"hinge": "broken"}))
    for size in ((3000, 2000), (2000, 3000), (4000, 300)):
        attach(visit, size, fan="EF-1", subject="hinge", caption="north pin, sheared through")
    sign_in(page, dana)
    page.emulate_media(color_scheme=scheme)
    page.goto(f"/fans/{fan.pk}/")
    page.locator(".photos img").last.scroll_into_view_if_needed()
    page.wait_for_load_state("networkidle")
    widths = page.evaluate("[...document.querySelectorAll('.photos img')].map(i => i.naturalWidth)")
    sideways = page.evaluate("document.documentElement.scrollWidth > innerWidth")
    violations = Axe().run(page).response["violations"]
    with page.expect_navigation() as opened:
        page.locator(".photos a").first.click()
    answer, seen = opened.value, sorted(widths)
    assert (seen, sideways, violations, answer.status, answer.headers["content-type"]) == (
        [213, 320, 320], False, [], 200, "image/jpeg",
    )  # fmt: skip
