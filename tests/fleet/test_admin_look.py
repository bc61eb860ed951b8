"""The admin in a browser: our ink on our paper, nothing inline, read by axe."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page

from fleet.models import Fan, Person
from tests.axe import SCHEMES, WIDTHS, violations
from tests.people import Roofs, sign_in

CONTRAST = {"runOnly": ["color-contrast"]}


@pytest.fixture
def manager_page(page: Page, roofs: Roofs) -> Page:
    """The browser of a manager, who may edit the register."""
    sign_in(page, Person.objects.create_user("mia", role=Person.Role.MANAGER, is_staff=True))
    page.set_viewport_size({"width": 1280, "height": 740})
    return page


@pytest.mark.browser
def test_admin_when_read_by_axe_then_every_word_stands_out(manager_page: Page) -> None:
    told = {}
    for path in ("", "fleet/fan/", f"fleet/fan/{Fan.objects.earliest('pk').pk}/change/"):
        for scheme in SCHEMES:
            # the admin fades from one scheme into the other, so each is opened in its own
            manager_page.emulate_media(color_scheme=scheme)
            manager_page.goto(f"/admin/{path}")
            told[path, scheme] = violations(manager_page, **CONTRAST)
    assert {at: found for at, found in told.items() if found} == {}
    assert len(told) == 6


@pytest.mark.browser
def test_admin_when_opened_then_on_the_same_paper_as_the_pages(manager_page: Page) -> None:
    seen = []
    for path in ("/", "/admin/"):
        manager_page.goto(path)
        seen.append(manager_page.evaluate("getComputedStyle(document.body).backgroundColor"))
    assert seen[0] == seen[1]


PAGES = (
    "owner/{owner}/change/", "exhaustsystem/{system}/change/", "fan/{fan}/change/",
    "fan/{fan}/history/", "fan/", "site/",
)  # fmt: skip


@pytest.mark.browser
def test_admin_when_opened_then_nothing_scrolls_sideways(manager_page: Page) -> None:
    fan = Fan.objects.select_related("site").earliest("pk")
    owner, system = fan.site.owner, fan.system
    owner.agreements.create(starts_on="2026-01-01", notes="six visits, as agreed by letter")
    fan.place = "beside the hatch"
    fan.save()
    told = {}
    for path in PAGES:
        address = path.format(fan=fan.pk, owner=owner.pk, system=system.pk)
        for width in WIDTHS:
            manager_page.set_viewport_size({"width": width, "height": 740})
            manager_page.goto(f"/admin/fleet/{address}")
            told[path, width] = manager_page.evaluate("document.documentElement.scrollWidth")
    assert {at: wide for at, wide in told.items() if wide > at[1]} == {}
    assert len(told) == len(PAGES) * len(WIDTHS)


@pytest.mark.browser
def test_history_when_a_command_changed_it_then_says_so(manager_page: Page) -> None:
    fan = Fan.objects.earliest("pk")
    fan.save()
    manager_page.goto(f"/admin/fleet/fan/{fan.pk}/history/")
    assert manager_page.get_by_text("a command", exact=True).count() >= 1


@pytest.mark.browser
def test_fan_in_the_admin_when_edited_then_its_fields_have_the_names_of_a_file(
    manager_page: Page,
) -> None:
    fan = Fan.objects.earliest("pk")
    fan.feeds.get_or_create()
    manager_page.goto(f"/admin/fleet/fan/{fan.pk}/change/")
    labels = ("Ambient (°C):", "Capacitor (µF):", "Overload setting (A):", "Full-load amps:")
    shown = {label: manager_page.get_by_label(label, exact=True).count() for label in labels}
    assert [label for label, count in shown.items() if not count] == []
    assert manager_page.get_by_label("First visit by").count() == 1


@pytest.mark.browser
def test_fan_in_the_admin_when_its_motor_is_three_phase_then_its_phases_are_shown(
    manager_page: Page,
) -> None:
    fan = Fan.objects.earliest("pk")
    fan.machines.update(motor_type="three_phase", phases=None)
    manager_page.goto(f"/admin/fleet/fan/{fan.pk}/change/")
    shown = manager_page.locator("select[name$='-0-phases'], select[name$='-0-motor_type']")
    chosen = shown.evaluate_all("all => all.map(one => one.selectedOptions[0].textContent)")
    assert chosen == ["three phase", "3, by the type of motor"]
