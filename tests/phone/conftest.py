"""What tests of the phone share: a link to the live site and a phone at its other end."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

from fleet.models import Fan, Person
from tests.people import sign_in
from tests.phone.link import Link, linked
from tests.visits.roofs import make_roof


@pytest.fixture
def link(live_server: object) -> Iterator[Link]:
    """The way to the live site, which tests break."""
    with linked(str(live_server)) as link:
        yield link


@pytest.fixture
def fan(db: None) -> Fan:
    """EF-1 on the roof at Quay Street, beside EF-2."""
    make_roof()
    return Fan.objects.get(tag="EF-1")


@pytest.fixture
def phone(chromium: Browser, link: Link, theo: Person, fan: Fan) -> Iterator[Page]:
    """Theo's phone; whatever its scripts stumble over fails the test."""
    complaints: list[str] = []
    context = chromium.new_context(
        base_url=link.address,
        timezone_id=fan.site.time_zone,  # a phone goes by the clocks of where it is
        viewport={"width": 360, "height": 740},
        has_touch=True,
        is_mobile=True,
        reduced_motion="reduce",
    )
    page = context.new_page()
    page.on("pageerror", lambda error: complaints.append(str(error)))
    sign_in(page, theo)
    yield page
    context.close()
    assert complaints == []
