"""Write and send the emails that are owed."""

from __future__ import annotations

import json
from argparse import ArgumentParser, ArgumentTypeError
from dataclasses import asdict
from datetime import UTC, datetime
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone
from django.utils.dateparse import parse_datetime

from schedules.notices.sending import send_notices
from schedules.notices.writing import write_notices


def instant(text: str) -> datetime:
    """An ISO 8601 instant; without an offset it is UTC."""
    try:
        told = parse_datetime(text)
    except ValueError:
        told = None
    if told is None:
        raise ArgumentTypeError(f"{text!r} is no instant; write it like 2026-06-15T13:00Z")
    return told if told.tzinfo else told.replace(tzinfo=UTC)


class Command(BaseCommand):
    """Everything owed now, once."""

    help = (
        "Write every email owed now, then send what is owed. Most are written on a working day "
        "between 8 and 17 where the kitchen stands, weekends and its country's public holidays "
        "left out; a stop is told on any day between 7 and 21. Run again it repeats nothing. "
        "Without MAIL_URL messages become .eml files in DATA_DIR/mail."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--now", type=instant, help="the instant to stand on (now)")
        parser.add_argument("--json", action="store_true", help="print the figures as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        stand = options["now"]
        written = write_notices(now=stand or timezone.now())
        sent = send_notices(clock=(lambda: stand) if stand else timezone.now)
        if options["json"]:
            self.stdout.write(json.dumps({**asdict(written), **asdict(sent)}))
            return
        for name in written.unreachable:
            self.stdout.write(f"{name} is owed an email and has no address; enter one.")
        for code in written.unknown_countries:
            self.stdout.write(
                f"No holidays are known of the country {code!r} of some sites: letters go there on "
                "every weekday. Write the two letters of ISO 3166-1."
            )
        self.stdout.write(
            f"{written.notices} notices written, {sent.sent} sent, {sent.put_off} put off, "
            f"{sent.given_up} given up, {sent.refused} held because their address was refused."
        )
