"""What is owed goes out once, whatever servers and senders do; over a real SMTP server."""

from __future__ import annotations

import datetime as dt
import socket
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from django.db import close_old_connections, connection
from pytest_django.fixtures import Settings

from fleet.models import Owner
from schedules.models import Notice
from schedules.notices.outbox import LEASE, MOST_TRIES, WAITS, claim, finish
from schedules.notices.sending import Sent, message_id, send_notices
from tests.notices.letters import MONDAY, mail_server, overdue_fan, write

pytestmark = pytest.mark.django_db
MINUTE = dt.timedelta(minutes=1)


def owe(count: int = 1) -> None:
    """Letters to as many owners."""
    for number in range(count):
        owner = Owner.objects.create(name=f"Owner {number}", email=f"o{number}@alder.example")
        Notice.objects.create(
            kind="overdue", addressee=f"owner-{owner.pk}", period="2026-W25", owner=owner,
            address=owner.email, subject="Overdue", text="Text", html="<p>Page</p>",
            owed_at=MONDAY, send_after=MONDAY,
        )  # fmt: skip


def send(at: dt.datetime = MONDAY) -> Sent:
    return send_notices(clock=lambda: at)


def test_letter_when_sent_then_arrives_whole_and_once() -> None:
    overdue_fan()
    write()
    with mail_server() as inbox:
        rounds = [send(), send()]
    mail, notice = inbox.taken[0], Notice.objects.get()
    assert (rounds, len(inbox.taken)) == ([Sent(1), Sent()], 1)
    assert (mail["Subject"], mail["To"]) == (notice.subject, notice.address)
    assert (
        mail["Message-ID"]
        == message_id(notice)
        == f"<overdue.{notice.addressee}.2026-W25@localhost>"
    )
    assert [part.get_content_type() for part in mail.iter_parts()] == ["text/plain", "text/html"]
    assert (notice.sent_at, notice.claim) == (MONDAY, None)


def test_letter_when_its_hour_has_not_come_then_waits() -> None:
    owe()
    with mail_server() as inbox:
        send(MONDAY - MINUTE)
    assert inbox.taken == []


# RFC 5321, 4.2.1: 4yz may be tried again, 5yz not.
def test_letter_when_the_server_says_not_now_then_tried_again_later() -> None:
    owe()
    with mail_server("451 busy") as inbox:
        rounds = [send(), send(MONDAY + WAITS[0] - MINUTE / 2), send(MONDAY + WAITS[0])]
    assert (rounds, len(inbox.taken)) == ([Sent(put_off=1), Sent(), Sent(1)], 1)


def test_letter_when_the_server_says_never_then_given_up_with_its_words() -> None:
    owe(2)
    with mail_server("550 no such box") as inbox:
        assert send() == Sent(sent=1, given_up=1)
    given_up = Notice.objects.exclude(given_up_at=None).get()
    assert (given_up.fault, len(inbox.taken)) == ("The mail server answered 550: no such box", 1)


def test_letters_when_the_server_is_down_then_one_try_ends_the_round(
    settings: Settings,
) -> None:
    owe(3)
    with socket.socket() as taken, mail_server():
        # bound and not listening: whoever calls is refused
        taken.bind(("127.0.0.1", 0))
        settings.EMAIL_PORT = taken.getsockname()[1]
        assert send() == Sent(put_off=1)
    assert sorted(Notice.objects.values_list("tries", flat=True)) == [0, 0, 1]


def test_letter_when_never_taken_then_given_up_after_the_last_try() -> None:
    owe()
    at = MONDAY
    with mail_server(*["451 busy"] * 20):
        for wait in (*WAITS, dt.timedelta()):
            send(at)
            at += wait
    notice = Notice.objects.get()
    assert (notice.tries, notice.given_up_at) == (MOST_TRIES, at)


def test_letter_when_its_sender_died_then_sent_by_the_next_under_the_same_id() -> None:
    owe()
    assert claim(MONDAY) is not None  # and then its process was killed
    with mail_server() as inbox:
        rounds = [send(MONDAY + MINUTE), send(MONDAY + LEASE)]
    assert rounds == [Sent(), Sent(1)]
    assert inbox.taken[0]["Message-ID"] == message_id(Notice.objects.get())


def test_letter_when_every_sender_dies_of_it_then_given_up() -> None:
    owe()
    for turn in range(MOST_TRIES):
        assert claim(MONDAY + turn * LEASE) is not None
    assert claim(MONDAY + MOST_TRIES * LEASE) is None
    assert "never finished" in Notice.objects.get().fault


def test_sender_when_its_lease_has_passed_then_the_other_one_settles() -> None:
    owe()
    slow = claim(MONDAY)
    quick = claim(MONDAY + LEASE)
    assert slow
    assert quick
    assert (finish(slow, MONDAY), finish(quick, MONDAY + LEASE)) == (False, True)


def test_sender_when_it_slept_through_its_lease_then_hands_nothing_over() -> None:
    owe()
    hours = iter([MONDAY, MONDAY + LEASE])
    with mail_server() as inbox:
        # taken up, then asleep until others may have it, then nothing is free for a while
        slept = send_notices(clock=lambda: next(hours, MONDAY - MINUTE))
        again = send(MONDAY + LEASE)
    assert (slept.sent, again.sent, len(inbox.taken)) == (0, 1, 1)


def test_letter_when_no_server_is_set_then_a_file(settings: Settings, tmp_path: Path) -> None:
    settings.EMAIL_BACKEND = "config.mail_folder.FolderBackend"
    settings.MAIL_FOLDER = tmp_path / "mail"
    owe()
    send()
    (file,) = settings.MAIL_FOLDER.iterdir()
    assert file.suffix == ".eml"
    assert b"Subject: Overdue\r\n" in file.read_bytes()


def test_letter_when_the_folder_takes_no_file_then_put_off(
    settings: Settings, tmp_path: Path
) -> None:
    settings.EMAIL_BACKEND = "config.mail_folder.FolderBackend"
    settings.MAIL_FOLDER = tmp_path / "mail"
    settings.MAIL_FOLDER.write_text("a file where the folder should be")
    owe()
    assert send() == Sent(put_off=1)


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_letters_when_four_senders_compete_then_each_goes_once() -> None:
    owe(40)

    def work(_: int) -> Sent:
        try:
            return send()
        finally:
            connection.close()

    with mail_server() as inbox, ThreadPoolExecutor(4) as pool:
        sent = sum(report.sent for report in pool.map(work, range(4)))
    close_old_connections()
    assert (sent, len({mail["To"] for mail in inbox.taken}), len(inbox.taken)) == (40, 40, 40)


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_letters_when_two_write_at_once_then_each_is_owed_once() -> None:
    for number in range(10):
        fan = overdue_fan(f"EF-{number}")
        fan.site.owner = Owner.objects.create(name=f"Owner {number}", email=f"o{number}@a.example")
        fan.site.save()

    def work(_: int) -> int:
        try:
            return write().notices
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as pool:
        written = sum(pool.map(work, range(2)))
    assert (written, Notice.objects.count()) == (10, 10)
