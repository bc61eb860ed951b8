"""What the month is made of: a clock that is told, a browser, letters read as files."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest
from django.core.mail import EmailMultiAlternatives
from pytest_django.fixtures import Settings
from pytest_django.live_server_helper import LiveServer

from fleet.models import Person
from schedules.proofs.mail_there import MailFolder
from schedules.proofs.told_serve import ToldClock
from schedules.proofs.visitor import Visitor, read_page

NOON = dt.datetime(2026, 6, 15, 12, tzinfo=dt.UTC)


def test_clock_when_told_then_all_who_read_it_know(tmp_path: Path) -> None:
    told, read = ToldClock(tmp_path / "clock"), ToldClock(tmp_path / "clock")
    told.tell(NOON)
    assert read() == told() == NOON


def test_form_then_sent_as_it_stands_with_what_is_typed() -> None:
    page = read_page(
        "http://127.0.0.1/o/",
        '<a href="/k/"></a><form action="/o/x"><input type="hidden" name="page" value="1">'
        '<input type="radio" name="answer" value="no"><textarea name="note"></textarea>'
        '<select name="who"><option value="1"><option value="2" selected></select></form>',
    )
    assert page.form("/o/x").fields == {"page": "1", "note": "", "who": "2"}
    assert page.links == ("/k/",)
    with pytest.raises(ValueError, match="no form for /elsewhere"):
        page.form("/elsewhere")


@pytest.mark.once
@pytest.mark.django_db(transaction=True)
def test_visitor_when_signed_in_then_carries_the_cookie(
    live_server: LiveServer, dana: Person
) -> None:
    dana.set_password("a sturdy roof")
    dana.save()
    visitor = Visitor(str(live_server))
    page = visitor.open("/notices/")
    typed = {"username": dana.username, "password": "a sturdy roof"}
    assert visitor.send(page, page.form("/login/"), **typed).address.endswith("/notices/")


def test_letter_when_new_in_the_folder_then_read_once(settings: Settings, tmp_path: Path) -> None:
    settings.EMAIL_BACKEND = "config.mail_folder.FolderBackend"
    settings.MAIL_FOLDER = tmp_path
    message = EmailMultiAlternatives(
        "Day", "Grüße", "a@b.example", ["c@d.example"],
        headers={"Message-ID": "<day.person-1.2026-06-16@b.example>"},
    )  # fmt: skip
    message.attach("days.ics", "BEGIN:VEVENT\r\nEND:VEVENT\r\n", "text/calendar; method=PUBLISH")
    message.send()
    folder = MailFolder(tmp_path)
    folder.look(NOON)
    folder.look(NOON + dt.timedelta(hours=1))
    (came,) = folder.came
    assert (came.key, came.to, came.seen.at) == ("day.person-1.2026-06-16", "c@d.example", NOON)
    assert (came.seen.text.strip(), came.seen.calendar[:14]) == ("Grüße", "BEGIN:VEVENT\r\n")
    with pytest.raises(ValueError, match="no link"):
        came.link("http://127.0.0.1")
