"""Owners' links: what opens, what does not, what is told on the way."""

from __future__ import annotations

import logging
from typing import Any

import pytest
from django.test import Client, override_settings
from django.utils import timezone

from config.logs import hide_secrets
from fleet.models import Owner, OwnerLink, Person
from fleet.services.guesses import MOST, WITHIN, count_guess
from fleet.services.links import address_of_link, find_by_token, make_link, revoke_links, token_of
from schedules.models import Notice
from schedules.notices.links import link_for, without_links
from schedules.notices.sending import message_of, send_notices
from tests.notices.letters import ADDRESS, mail_server
from tests.people import Roofs, signed_in

NOW = timezone.now()
SHOWN = "[the owner's link]"


@pytest.fixture
def alder(roofs: Roofs) -> Owner:
    """Olga's company, reached at its office."""
    owner = roofs.bakery.site.owner
    owner.email = ADDRESS
    owner.save()
    return owner


@pytest.fixture
def link(alder: Owner) -> OwnerLink:
    """A link in a letter to the office."""
    return make_link(owner=alder, now=NOW, sent_to=ADDRESS)


def path_of(link: OwnerLink) -> str:
    return f"/k/{token_of(link)}"


def letter_with_link(owner: Owner, **row: object) -> Notice:
    """A letter whose text and page hold the owner's link."""
    stand_in = link_for(owner, now=NOW)
    return Notice.objects.create(
        kind="overdue", addressee=f"owner-{owner.pk}", period="2026-W25", owner=owner,
        address=ADDRESS, subject="Overdue", text=f"Yours: {stand_in}",
        html=f'<p><a href="{stand_in}">Your page</a></p>', owed_at=NOW, send_after=NOW, **row,
    )  # fmt: skip


def test_link_when_opened_then_sent_on_to_an_address_without_it(
    client: Client, link: OwnerLink
) -> None:
    answer = client.get(path_of(link))
    assert (answer.status_code, answer.headers["Location"]) == (302, "/o/")


def test_link_when_opened_then_the_cookie_is_narrow_and_holds_no_words(
    client: Client, link: OwnerLink
) -> None:
    cookie = client.get(path_of(link)).cookies["owner_page"]
    assert token_of(link) not in cookie.value
    told = {name: cookie[name] for name in ("path", "httponly", "samesite", "max-age")}
    assert told == {"path": "/o/", "httponly": True, "samesite": "Lax", "max-age": 8 * 3600}


def test_link_when_opened_in_production_then_the_cookie_is_secure(
    client: Client, link: OwnerLink
) -> None:
    with override_settings(SESSION_COOKIE_SECURE=True):
        assert client.get(path_of(link)).cookies["owner_page"]["secure"] is True


def test_link_when_opened_then_nobody_keeps_or_is_told_the_address(
    client: Client, link: OwnerLink
) -> None:
    told = client.get(path_of(link)).headers
    names = ("Cache-Control", "Referrer-Policy", "X-Robots-Tag")
    assert [told[name] for name in names] == ["private, no-store", "no-referrer", "noindex"]


def test_link_then_its_words_stand_nowhere_in_the_database(link: OwnerLink) -> None:
    stored = " ".join(str(value) for value in OwnerLink.objects.values().get().values())
    assert token_of(link) not in stored


@pytest.mark.parametrize("method", ["head", "get"])
def test_link_when_a_mail_scanner_opens_it_then_it_opens_again(
    client: Client, link: OwnerLink, method: str
) -> None:
    for _ in range(3):
        getattr(Client(), method)(path_of(link))
    assert client.get(path_of(link)).status_code == 302


@pytest.mark.parametrize("method", ["post", "put", "delete", "patch"])
def test_link_when_anything_but_read_then_refused(
    client: Client, link: OwnerLink, method: str
) -> None:
    assert getattr(client, method)(path_of(link)).status_code == 405


def ended(link: OwnerLink) -> None:
    revoke_links(owner=link.owner, now=NOW)


def past(link: OwnerLink) -> None:
    OwnerLink.objects.update(expires_at=NOW)


def address_gone(link: OwnerLink) -> None:
    Owner.objects.filter(pk=link.owner_id).update(email="other@alder.example")


def unknown(link: OwnerLink) -> None:
    link.delete()


@pytest.mark.parametrize("end", [ended, past, address_gone, unknown])
def test_link_when_over_then_all_ends_look_alike(
    client: Client, link: OwnerLink, end: object
) -> None:
    made_up = Client().get("/k/" + "a" * 26)
    path = path_of(link)
    end(link)
    answer = client.get(path)
    assert (answer.status_code, answer.content) == (404, made_up.content)


@pytest.mark.parametrize("end", [ended, past, address_gone, unknown])
def test_page_when_the_link_ends_meanwhile_then_over_at_once(
    client: Client, link: OwnerLink, end: object
) -> None:
    client.get(path_of(link))
    assert client.get("/o/").status_code == 200
    end(link)
    assert client.get("/o/").status_code == 404


def test_link_when_its_contact_is_no_longer_active_then_over(
    client: Client, alder: Owner, olga: Person
) -> None:
    Person.objects.filter(pk=olga.pk).update(email="olga@alder.example")
    link = make_link(owner=alder, now=NOW, sent_to="Olga@alder.example")
    before = find_by_token(token_of(link), NOW)
    Person.objects.filter(pk=olga.pk).update(is_active=False)
    assert (before, find_by_token(token_of(link), NOW)) == (link, None)


@pytest.mark.parametrize(
    "words", ["A", "a" * 25, "a" * 27, "0" * 26, "ä" * 26, "a" * 5000, "%00" * 26, "..%2f..%2f"]
)
def test_link_when_made_up_then_the_same_plain_page(
    client: Client, words: str, link: OwnerLink
) -> None:
    assert client.get(f"/k/{words}").status_code == 404


def test_link_when_read_out_in_capitals_then_opens(client: Client, link: OwnerLink) -> None:
    assert client.get(path_of(link).upper().replace("/K/", "/k/")).status_code == 302


def test_link_when_guessed_too_often_then_wait_but_a_true_one_opens(
    client: Client, link: OwnerLink
) -> None:
    codes = [client.get("/k/" + "a" * 26).status_code for _ in range(31)]
    assert codes == [404] * 30 + [429]
    assert client.get(path_of(link)).status_code == 302


@pytest.mark.parametrize(
    ("other", "refused"),
    [
        ("198.51.100.7", False),
        ("2001:db8:1:2::9", True),  # RFC 6177: one network of 64 bits is one household's
        ("2001:db8:1:3::1", False),
    ],
)
def test_guesses_when_too_many_from_one_place_then_only_it_waits(
    link: OwnerLink, other: str, refused: bool
) -> None:
    for _ in range(MOST):
        assert not count_guess(address="2001:db8:1:2::1", now=NOW)
    assert count_guess(address=other, now=NOW) is refused


def test_guesses_when_their_time_is_over_then_counted_anew(db: None) -> None:
    told = [count_guess(address="a", now=NOW) for _ in range(MOST + 1)]
    assert (told[-1], count_guess(address="a", now=NOW + WITHIN)) == (True, False)


def test_guess_beyond_what_may_be_then_nothing_is_written(
    db: None, django_assert_num_queries: Any
) -> None:
    for _ in range(MOST):
        count_guess(address="a", now=NOW)
    with django_assert_num_queries(1):
        count_guess(address="a", now=NOW)


@pytest.mark.parametrize("cookie", ["", "x", "1:2:3", "e" * 9000])
def test_page_when_the_cookie_is_made_up_then_the_plain_page(
    client: Client, link: OwnerLink, cookie: str
) -> None:
    client.cookies["owner_page"] = cookie
    assert client.get("/o/").status_code == 404


def test_page_when_the_cookie_is_another_purpose_s_then_the_plain_page(
    client: Client, link: OwnerLink, roofs: Roofs
) -> None:
    asked = make_link(
        owner=link.owner, now=NOW, purpose=OwnerLink.Purpose.RUNNING, site=roofs.bakery.site
    )
    client.cookies["owner_page"] = client.get(path_of(asked)).cookies["owner_running"].value
    assert client.get("/o/").status_code == 404


def test_link_about_a_site_of_another_owner_then_refused(alder: Owner, roofs: Roofs) -> None:
    with pytest.raises(ValueError, match="does not belong"):
        make_link(owner=alder, now=NOW, site=roofs.diner.site)


def test_letter_when_sent_again_then_the_same_link_in_text_and_page(alder: Owner) -> None:
    notice = letter_with_link(alder)
    link = OwnerLink.objects.get()
    first, second = message_of(notice), message_of(notice)
    address = address_of_link(link)
    assert first.body == second.body == f"Yours: {address}"
    assert f'href="{address}"' in first.alternatives[0][0]


def test_letter_when_sent_then_the_real_link_opens(client: Client, alder: Owner) -> None:
    letter_with_link(alder)
    with mail_server() as inbox:
        send_notices()
    address = inbox.taken[0].get_body(("plain",)).get_content().split()[-1]
    assert client.get(address.removeprefix("http://127.0.0.1:8000")).status_code == 302


def test_letter_when_staff_read_it_then_only_that_a_link_stood_there(
    alder: Owner, dana: Person
) -> None:
    notice = letter_with_link(alder)
    browser, secret = signed_in(dana), token_of(OwnerLink.objects.get())
    pages = [browser.get(f"/notices/{notice.pk}/{end}").content.decode() for end in ("", "drawn")]
    assert [(secret in page, "owner-link:" in page) for page in pages] == [(False, False)] * 2
    assert "[the owner&#x27;s link]" in pages[0]


def test_letter_when_it_names_another_owner_s_link_then_that_is_left_out(
    alder: Owner, roofs: Roofs
) -> None:
    notice = letter_with_link(alder)
    notice.text = link_for(roofs.diner.site.owner, now=NOW)
    assert message_of(notice).body == SHOWN == without_links(notice.text)


def test_letter_when_the_secret_changed_then_the_link_it_brings_opens(
    client: Client, alder: Owner
) -> None:
    notice = letter_with_link(alder)
    with override_settings(SECRET_KEY="another " * 8):
        words = message_of(notice).body.rpartition("/")[2]
        assert client.get(f"/k/{words}").status_code == 302


@pytest.mark.parametrize(
    "message", ["Not Found: /k/{}", "Forbidden (CSRF): /k/{}", "GET /k%2F{} HTTP/1.1", "%s"]
)
def test_log_when_it_names_a_link_then_not_its_words(link: OwnerLink, message: str) -> None:
    words = token_of(link)
    args = (f"https://fans.example/k/{words}?a=b",) if message == "%s" else ()
    record = logging.makeLogRecord({"msg": message.format(words), "args": args})
    line = hide_secrets(record.getMessage())
    assert (words in line, "k/…" in line) == (False, True)


def test_link_when_used_then_only_the_day_is_noted(client: Client, link: OwnerLink) -> None:
    before = timezone.now().date()
    client.get(path_of(link))
    # a date, and so without the minute; two days where midnight came between
    assert OwnerLink.objects.get().used_on in {before, timezone.now().date()}
