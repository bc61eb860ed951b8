"""Sends what is owed, by any number of senders at once."""

from __future__ import annotations

import logging
import smtplib
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from email.utils import parseaddr

from django.conf import settings
from django.core.mail import EmailMultiAlternatives, get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.utils import timezone

from schedules.bookings.calendar import METHOD
from schedules.models import Notice
from schedules.notices.leaving import leave_address, leave_headers, with_leave_link
from schedules.notices.links import with_links
from schedules.notices.outbox import claim, finish, give_up, hold, is_in_hand, put_off
from schedules.notices.refusals import PERMANENT, is_about_address, mark_refused

log = logging.getLogger(__name__)


@dataclass
class Sent:
    """What a round of sending came to."""

    sent: int = 0
    put_off: int = 0
    given_up: int = 0
    refused: int = 0


def send_notices(*, clock: Callable[[], datetime] = timezone.now) -> Sent:
    """Send everything owed; what a server cannot take now is tried again later.

    Each message is handed over outside any transaction.  A sender that dies between the server's
    yes and our note sends again under the same Message-ID.  A server that cannot be reached ends
    the round: the rest would only wait for it as well.
    """
    report = Sent()
    server = get_connection()
    try:
        while notice := claim(clock()):
            if not _send(notice, server, clock, report):
                break
    finally:
        server.close()
    return report


def _send(
    notice: Notice, server: BaseEmailBackend, clock: Callable[[], datetime], report: Sent
) -> bool:
    """Send one and note what came of it; whether the server is of use for another."""
    try:
        server.open()
        if not is_in_hand(notice, clock()):
            return True
        if not message_of(notice, server).send():
            raise ValueError(f"{notice.address!r} is no address")
    except (smtplib.SMTPRecipientsRefused, smtplib.SMTPDataError) as error:
        _settle_refused(notice, error, clock(), report)
    except ValueError as error:
        report.given_up += give_up(notice, clock(), f"No such message can be: {error}")
    except (OSError, smtplib.SMTPException) as error:
        report.put_off += put_off(notice, clock(), f"The mail server: {error}")
        log.warning("the mail server takes nothing now: %s", error)
        return False
    else:
        report.sent += finish(notice, clock())
    return True


def _settle_refused(
    notice: Notice,
    error: smtplib.SMTPRecipientsRefused | smtplib.SMTPDataError,
    now: datetime,
    report: Sent,
) -> None:
    """Try it again later, never, or, where its address is the reason, once another one is there."""
    code, said = _answer(error)
    fault = f"The mail server answered {code}: {said}"
    if code < PERMANENT:
        report.put_off += put_off(notice, now, fault)
    elif isinstance(error, smtplib.SMTPRecipientsRefused) and is_about_address(code, said):
        mark_refused(address=notice.address, why=fault, now=now)
        report.refused += hold(notice, fault)
    else:
        report.given_up += give_up(notice, now, fault)


def _answer(error: smtplib.SMTPRecipientsRefused | smtplib.SMTPDataError) -> tuple[int, str]:
    """Code and words with which a server refused this one message."""
    if isinstance(error, smtplib.SMTPDataError):
        code, said = error.smtp_code, error.smtp_error
    else:
        code, said = next(iter(error.recipients.values()))
    return code, said.decode("utf-8", "replace") if isinstance(said, bytes) else said


def message_of(notice: Notice, server: BaseEmailBackend | None = None) -> EmailMultiAlternatives:
    """The notice as a message; the same notice has the same Message-ID whenever it is sent."""
    text, html = with_links(notice, notice.text, notice.html)
    leave = leave_address(notice)
    told = {"Message-ID": message_id(notice), "Auto-Submitted": "auto-generated"}
    message = EmailMultiAlternatives(
        notice.subject, with_leave_link(text, leave), settings.DEFAULT_FROM_EMAIL,
        [notice.address], headers={**told, **leave_headers(leave)}, connection=server,
    )  # fmt: skip
    message.attach_alternative(with_leave_link(html, leave), "text/html")
    if notice.calendar:
        # RFC 6047, 2.4: the method stands in the type as well, else calendars overlook it
        message.attach("days.ics", notice.calendar, f"text/calendar; method={METHOD}")
    return message


def message_id(notice: Notice) -> str:
    """``<overdue.owner-12.2026-W25@example.org>``: made of the notice's key."""
    domain = parseaddr(settings.DEFAULT_FROM_EMAIL)[1].partition("@")[2]
    return f"<{notice.kind}.{notice.addressee}.{notice.period}@{domain or 'localhost'}>"
