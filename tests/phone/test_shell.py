"""The page's shell and what lies beside it: who gets it, what a browser keeps, how much that is.

Bytes as gzip's usual level packs them; the budgets are those of the page's plan.
"""

from __future__ import annotations

import gzip
import json
import re
from typing import Any

import pytest
from django.test import Client

from fleet.models import Person
from tests.people import Roofs, signed_in

pytestmark = pytest.mark.django_db
FIRST_LOAD, ROUND = 150_000, 1_500_000
PAGES = ("/round/", "/round/fan/7/")
OPEN = ("/round/sw.js", "/round/manifest.webmanifest", "/round/words/es.json")


def packed(answer: Any) -> int:
    """Its bytes on the way, packed."""
    body = b"".join(answer.streaming_content) if answer.streaming else answer.content
    return len(gzip.compress(body, 6))


def worker(client: Client) -> dict[str, Any]:
    """What the worker is told before its own text."""
    first = client.get("/round/sw.js").content.decode().partition("\n")[0]
    told: dict[str, Any] = json.loads(first.removeprefix("self.ROUND = ").removesuffix(";"))
    return told


@pytest.mark.parametrize("address", PAGES)
def test_page_when_asked_by_each_then_the_company_alone_has_it(
    roofs: Roofs, mara: Person, dana: Person, theo: Person, olga: Person, address: str
) -> None:
    told = [signed_in(each).get(address).status_code for each in (mara, dana, theo, olga)]
    stranger = Client().get(address)
    assert told == [200, 200, 200, 404]
    assert (stranger.status_code, stranger["Location"]) == (302, f"/login/?next={address}")


def test_page_when_asked_by_two_then_nobody_is_in_it(theo: Person, mara: Person) -> None:
    shown = [signed_in(each).get(address).content for each in (theo, mara) for address in PAGES]
    assert len(set(shown)) == 1


def test_page_when_told_what_may_run_then_only_files_of_ours(theo: Person) -> None:
    answer = signed_in(theo).get("/round/")
    policy = dict(each.strip().partition(" ")[::2]
                  for each in answer["Content-Security-Policy"].split(";"))  # fmt: skip
    assert {policy[name] for name in ("script-src", "worker-src", "manifest-src")} == {"'self'"}
    assert (policy["default-src"], "no-store" in answer["Cache-Control"]) == ("'none'", False)


@pytest.mark.parametrize("address", OPEN)
def test_file_when_nobody_is_signed_in_then_asked_anew_each_time(db: None, address: str) -> None:
    answer = Client().get(address)
    assert (answer.status_code, answer["Cache-Control"]) == (200, "no-cache")


def test_words_when_of_no_language_of_ours_then_404(db: None) -> None:
    assert Client().get("/round/words/xx.json").status_code == 404


def test_first_load_when_packed_then_within_its_budget(theo: Person) -> None:
    client = signed_in(theo)
    told = worker(client)
    answers = [client.get(address) for address in (told["shell"], *told["assets"])]
    assert {answer.status_code for answer in answers} == {200}
    assert sum(map(packed, answers)) + packed(client.get("/round/sw.js")) < FIRST_LOAD


def test_shell_when_it_asks_for_files_then_the_worker_keeps_them(theo: Person) -> None:
    client = signed_in(theo)
    told = worker(client)
    page = client.get(told["shell"]).content.decode()
    wanted = re.findall(r'(?:href|src)="([^"#]+)"', page)
    assert set(wanted) <= set(told["assets"])
    assert f'data-version="{told["version"]}"' in page
