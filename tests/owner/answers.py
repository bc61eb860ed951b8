"""Answers as a browser sends them."""

from __future__ import annotations

import re
from typing import Any

from django.test import Client

from tests.owner.conftest import Kitchen
from tests.pages.test_due_list import text_of

NAME = "A. Reyes"


def hidden_page(answer: Any) -> str:
    """What a page carries of how it was shown."""
    found = re.search(r'name="page" value="([^"]+)"', answer.content.decode())
    assert found
    return found[1]


def page_of(browser: Client, kitchen: Kitchen) -> str:
    """Open the advice, and what its form carries."""
    return hidden_page(browser.get(kitchen.address))


def answer(browser: Client, kitchen: Kitchen, page: str = "", **told: str) -> Any:
    """Press the button on a page just opened, or on one opened before."""
    words = {"answer": "go_ahead", "name": NAME, "page": page or page_of(browser, kitchen), **told}
    return browser.post(kitchen.address, words)


def said(response: Any) -> str:
    """The response's words."""
    return text_of(response)
