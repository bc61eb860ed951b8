"""Pages read by axe as people see them: phone-wide and on a desk, in light and in dark."""

from __future__ import annotations

from itertools import product
from typing import Any

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

WIDTHS = (360, 1280)
SCHEMES: tuple[Any, ...] = ("light", "dark")
COLOURS = {"runOnly": ["color-contrast", "link-in-text-block"]}
"""The rules that read colours, in which alone our dark pages differ from the light ones."""


def complaints(page: Page, widths: tuple[int, ...] = WIDTHS) -> list[Any]:
    """What axe finds against the page as it stands, and where it scrolls sideways."""
    found: list[Any] = []
    for width, scheme in product(widths, SCHEMES):
        page.set_viewport_size({"width": width, "height": 740})
        page.emulate_media(color_scheme=scheme)
        rules = COLOURS if scheme == "dark" else {}
        found += [(width, scheme, each) for each in violations(page, **rules)]
        if (wide := page.evaluate("document.documentElement.scrollWidth")) > width:
            found.append((width, scheme, f"{wide} px wide"))
    return found


def violations(page: Page, **options: Any) -> list[Any]:
    """What axe finds against the page as it is shown now."""
    return list(Axe().run(page, options=options or None).response["violations"])
