"""The API's own page, its schema, and addresses that it does not have."""

from __future__ import annotations

import pytest
from django.test import Client
from playwright.sync_api import Page

from tests.api.asking import V1


def test_schema_when_asked_by_nobody_then_openapi_3_1() -> None:
    assert Client().get(f"{V1}/schema.json").json()["openapi"].startswith("3.1")


@pytest.mark.parametrize("method", ["get", "post", "delete"])
@pytest.mark.parametrize("place", ["nothing/here", "fans/", "systems/1/hours/%0A", "%85", "é"])
def test_nowhere_when_asked_for_then_a_problem_404(method: str, place: str) -> None:
    answer = getattr(Client(), method)(f"{V1}/{place}")
    assert (answer.status_code, answer["Content-Type"]) == (404, "application/problem+json")


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_page_when_opened_without_the_internet_then_lists_the_operations(page: Page) -> None:
    page.goto(f"{V1}/")
    page.locator("#operations-keys-keys_create").wait_for()
    assert page.locator(".opblock").count() >= 3
