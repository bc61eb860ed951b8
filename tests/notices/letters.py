"""A fan that is overdue on a Monday morning, and a real mail server that may refuse."""

from __future__ import annotations

import datetime as dt
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from email import message_from_bytes, policy
from email.message import EmailMessage
from ssl import SSLContext
from zoneinfo import ZoneInfo

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, Envelope, Session
from django.test import override_settings

from fleet.models import Fan, Owner
from schedules.due.reckoning import reckon_fleet
from schedules.models import FanHistory, Notice
from schedules.notices.writing import Written, write_notices
from tests.schedules.fans import make_fan, walk

MONDAY = dt.datetime(2026, 6, 15, 14, tzinfo=dt.UTC)
"""9 in the morning in Chicago."""
ADDRESS = "office@alder.example"


def overdue_fan(tag: str = "EF-1", **site: object) -> Fan:
    """Walked on 1 February 2026: due two months later, overdue after 15 April."""
    fan = make_fan(tag, **site)
    walk(fan, "2026-02-01").visit.inspections.create(system=fan.system, qualified=True)
    Owner.objects.filter(email="").update(email=ADDRESS)
    return fan


def told(kind: str) -> list[Notice]:
    """Letters of a kind, the first written first."""
    return list(Notice.objects.filter(kind=kind).order_by("pk"))


def at(local: str, zone: str = "America/Chicago") -> dt.datetime:
    """A local time as an instant: ``2026-06-15 08:00``."""
    return dt.datetime.fromisoformat(local).replace(tzinfo=ZoneInfo(zone))


def write(now: dt.datetime = MONDAY) -> Written:
    """Reckon everything, then write what is owed; rows laid straight in tables leave no trace."""
    FanHistory.objects.all().delete()
    reckon_fleet(now=now, only_stale=False)
    return write_notices(now=now)


@dataclass
class Inbox:
    """What a real SMTP server on this machine took; ``answers`` are given first, one each;
    addresses it ``refuses`` get their own."""

    answers: list[str] = field(default_factory=list)
    refuses: dict[str, str] = field(default_factory=dict)
    taken: list[EmailMessage] = field(default_factory=list)
    recipients: list[str] = field(default_factory=list)
    encrypted: list[bool] = field(default_factory=list)

    async def handle_RCPT(  # noqa: N802
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        if address in self.refuses:
            return self.refuses[address]
        envelope.rcpt_tos.append(address)
        return "250 ok"

    async def handle_DATA(self, server: SMTP, session: Session, envelope: Envelope) -> str:  # noqa: N802
        if self.answers:
            return self.answers.pop(0)
        told = message_from_bytes(envelope.content or b"", policy=policy.default)
        self.taken.append(told)
        self.recipients += envelope.rcpt_tos
        self.encrypted.append(bool(server.transport.get_extra_info("ssl_object")))
        return "250 taken"


@contextmanager
def mail_server(
    *answers: str, scheme: str = "smtp", tls: SSLContext | None = None
) -> Iterator[Inbox]:
    """A server, encrypted as ``scheme`` says where there is ``tls``; settings that send there."""
    inbox = Inbox([*answers])
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    implicit, explicit = (tls, None) if scheme == "smtps" else (None, tls)
    controller = Controller(
        inbox, hostname="localhost", port=port, ssl_context=implicit, tls_context=explicit,
        require_starttls=explicit is not None,
    )  # fmt: skip
    controller.start()
    backend = "django.core.mail.backends.smtp.EmailBackend"
    try:
        with override_settings(EMAIL_BACKEND=backend, EMAIL_HOST="localhost", EMAIL_PORT=port):
            yield inbox
    finally:
        controller.stop()
