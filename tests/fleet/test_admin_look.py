"""The admin in a browser: our ink on our paper, nothing inline, read by axe."""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

from fleet.models import Fan, Person
from tests.people import Roofs, sign_in

CONTRAST = {"runOnly": ["color-contrast"]}


@pytest.fixture
def manager_page(page: Page, roofs: Roofs) -> Page:
    """The browser of a manager, who may edit the register."""
    sign_in(page, Person.objects.create_user("mia", role=Person.Role.MANAGER, is_staff=True))
    page.set_viewport_size({"width": 1280, "height": 740})
    return page


@pytest.mark.browser
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("path", ["", "fleet/fan/", "fleet/fan/{fan}/change/"])
def test_admin_when_read_by_axe_then_every_word_stands_out(
    manager_page: Page, scheme: Any, path: str
) -> None:
    manager_page.emulate_media(color_scheme=scheme)
    manager_page.goto("/admin/" + path.format(fan=Fan.objects.earliest("pk").pk))
    assert Axe().run(manager_page, options=CONTRAST).response["violations"] == []


@pytest.mark.browser
def test_admin_when_opened_then_on_the_same_paper_as_the_pages(manager_page: Page) -> None:
    seen = []
    for path in ("/", "/admin/"):
        manager_page.goto(path)
        seen.append(manager_page.evaluate("getComputedStyle(document.body).backgroundColor"))
    assert seen[0] == seen[1]


@pytest.mark.browser
def test_fan_in_the_admin_when_edited_then_its_onboarding_day_says_what_it_is(
    manager_page: Page,
) -> None:
    manager_page.goto(f"/admin/fleet/fan/{Fan.objects.earliest('pk').pk}/change/")
    assert manager_page.get_by_label("First visit by").count() == 1
