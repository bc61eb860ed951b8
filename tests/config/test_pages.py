"""The pages every visitor meets: signing in, health, what a browser is told, faults."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings
from django.template.loader import render_to_string
from django.test import Client, override_settings
from playwright.sync_api import Page

from fleet.models import Person
from tests.axe import complaints

ALL_SELF = (
    "manifest-src",
    "worker-src",
    "script-src",
    "style-src",
    "img-src",
    "font-src",
    "connect-src",
    "form-action",
    "manifest-src",
    "worker-src",
)


@pytest.fixture
def theo(db: None) -> Person:
    """Theo, a technician."""
    return Person.objects.create_user("theo", password="roof-ladder-7", role="technician")


@pytest.mark.django_db
def test_healthz_when_database_answers_then_ok(client: Client) -> None:
    answer = client.get("/healthz")
    assert (answer.status_code, answer.content) == (200, b"ok\n")


def test_healthz_when_database_is_gone_then_503(root: Path) -> None:
    # Nothing listens on port 1.
    gone = os.environ | {"DATABASE_URL": "postgres://dana@127.0.0.1:1/roofs"}
    code = (
        "import config.wsgi; from django.test import Client; "
        "print(Client(SERVER_NAME='localhost').get('/healthz'))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=root, env=gone, capture_output=True, text=True, check=True
    )
    assert "status_code=503" in done.stdout


@pytest.mark.django_db
def test_policy_when_page_served_then_only_own_files_run(client: Client) -> None:
    sent = dict(
        rule.strip().split(" ", 1)
        for rule in client.get("/login/").headers["Content-Security-Policy"].split(";")
    )
    nothing = dict.fromkeys(("default-src", "base-uri", "frame-ancestors"), "'none'")
    assert sent == nothing | dict.fromkeys(ALL_SELF, "'self'")


@pytest.mark.parametrize("secure", [True, False])
def test_session_when_signed_in_then_a_new_one_that_no_script_or_other_site_may_use(
    client: Client, theo: Person, secure: bool
) -> None:
    client.cookies[settings.SESSION_COOKIE_NAME] = "one-that-somebody-else-knows"
    # In production it is always so: config/settings.py.
    with override_settings(SESSION_COOKIE_SECURE=secure):
        answer = client.post("/login/", {"username": "theo", "password": "roof-ladder-7"})
    cookie = answer.cookies[settings.SESSION_COOKIE_NAME]
    told = [cookie[name] for name in ("httponly", "samesite", "secure")]
    assert (told, len(cookie.value)) == ([True, "Lax", secure or ""], 32)


@pytest.mark.parametrize("path", ["/", "/sites/"])
def test_pages_when_signed_in_then_no_browser_keeps_a_copy(
    client: Client, theo: Person, path: str
) -> None:
    client.force_login(theo)
    assert client.get(path).headers["Cache-Control"] == "private, no-store"


def test_sign_in_when_password_right_then_first_page(client: Client, theo: Person) -> None:
    answer = client.post("/login/", {"username": "theo", "password": "roof-ladder-7"})
    assert answer.headers["Location"] == "/"


def test_sign_in_when_password_wrong_then_sentence(client: Client, theo: Person) -> None:
    answer = client.post("/login/", {"username": "theo", "password": "roof"})
    assert "do not match a person here" in answer.content.decode()


def test_sign_out_when_got_then_refused_and_when_posted_then_done(
    client: Client, theo: Person
) -> None:
    client.force_login(theo)
    assert (client.get("/logout/").status_code, client.post("/logout/").status_code) == (405, 302)


@pytest.mark.django_db
def test_unknown_address_when_asked_then_our_words(client: Client) -> None:
    answer = client.get("/no-such-page/")
    assert (answer.status_code, b"Nothing at this address" in answer.content) == (404, True)


@pytest.mark.django_db
def test_form_when_token_missing_then_says_nothing_was_saved() -> None:
    answer = Client(enforce_csrf_checks=True).post("/login/", {"username": "theo"})
    assert (answer.status_code, b"Nothing was saved" in answer.content) == (403, True)


@pytest.mark.browser
def test_sign_in_page_when_read_by_axe_then_no_violation_and_no_sideways_scroll(
    page: Page,
) -> None:
    page.goto("/login/")
    assert complaints(page) == []


@pytest.mark.browser
def test_sign_in_page_when_tabbed_back_then_skip_link_comes_before_all(page: Page) -> None:
    page.goto("/login/")
    page.get_by_label("Name").press("Shift+Tab")
    page.keyboard.press("Shift+Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the page"


@pytest.mark.parametrize("verdict", ["within", "watch", "act", "stop", "cannot-judge"])
def test_verdict_when_drawn_then_its_mark_exists_and_its_word_is_beside(verdict: str) -> None:
    drawn = render_to_string("verdict.html", {"verdict": verdict, "word": "a word"})
    marks = render_to_string("verdict_marks.html")
    assert (f'id="mark-{verdict}"' in marks, "</svg>a word</span>" in drawn) == (True, True)


def test_stylesheet_when_asked_of_the_embedded_install_then_served_from_where_it_lies(
    client: Client, root: Path
) -> None:
    answer = client.get("/static/roofround.css")
    assert answer.getvalue() == (root / "config" / "static" / "roofround.css").read_bytes()


@pytest.mark.browser
def test_admin_when_opened_under_our_policy_then_browser_has_no_complaint(page: Page) -> None:
    Person.objects.create_superuser("dana", password="curb-and-hinge-4", role="manager")
    page.goto("/admin/")
    page.get_by_label("Username").fill("dana")
    page.get_by_label("Password").fill("curb-and-hinge-4")
    page.get_by_role("button", name="Log in").click()
    assert page.get_by_role("heading", name="Site administration").is_visible()


def test_host_when_foreign_then_refused_without_a_line_in_the_log(
    client: Client, caplog: pytest.LogCaptureFixture
) -> None:
    answer = client.get("/login/", headers={"host": "elsewhere.example"})
    assert (answer.status_code, caplog.record_tuples) == (400, [])
