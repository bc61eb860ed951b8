"""What is said in Spanish: the files, by app, that owners and technicians on roofs read.

The company's desk pages are English throughout: no language is set for them (``config.languages``).
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from django.conf import settings

from config.catalogues.messages import Message, messages_in

LANGUAGE = "es"
PLACES = {
    "config": ("languages.py", "templates/base.html"),
    "visits": ("wording/*.py",),
    "schedules": (
        "agreeing.py",
        "answering.py",
        "bookings/calendar.py",
        "fan_page/cautions.py",
        "notices/advice/*.py",
        "notices/answered/*.py",
        "notices/critical/*.py",
        "notices/day/*.py",
        "notices/links.py",
        "notices/made_safe/*.py",
        "notices/no_access/*.py",
        "notices/overdue/*.py",
        "owner_page/*.py",
        "pages/owner/*.py",
        "pages/phone/*.py",
        "phone/**/*.py",
        "templates/schedules/leave.html",
        "templates/schedules/mail/advice.*",
        "templates/schedules/mail/answer.*",
        "templates/schedules/mail/asked.*",
        "templates/schedules/mail/confirmed.*",
        "templates/schedules/mail/critical.*",
        "templates/schedules/mail/day.*",
        "templates/schedules/mail/first.*",
        "templates/schedules/mail/leave.*",
        "templates/schedules/mail/made_safe.*",
        "templates/schedules/mail/no_access.*",
        "templates/schedules/mail/no_way.*",
        "templates/schedules/mail/overdue.*",
        "templates/schedules/mail/section.*",
        "templates/schedules/mail/site.*",
        "templates/schedules/owner/*.html",
        "templates/schedules/phone/*.html",
        "wording/bookings.py",
        "wording/cause*.py",
        "wording/days.py",
        "wording/done.py",
        "wording/hours.py",
        "wording/leaving.py",
        "wording/lines.py",
        "wording/money.py",
        "wording/owners/*.py",
        "wording/rounds.py",
        "wording/rules.py",
        "wording/seen.py",
        "wording/untold.py",
        "wording/vibration.py",
        "wording/visit_answers.py",
    ),
}  # fmt: skip


def catalogue_path(app: str) -> Path:
    """Where an app's catalogue lies, without ``.po`` or ``.mo``."""
    return settings.BASE_DIR / app / "locale" / LANGUAGE / "LC_MESSAGES" / "django"


def said_in(app: str) -> dict[Message, list[str]]:
    """Every message of an app's places with the files that say it, in their order."""
    said: dict[Message, list[str]] = {}
    for path in _files(app):
        source = path.read_text("utf-8")
        place = path.relative_to(settings.BASE_DIR).as_posix()
        for message in messages_in(source, is_template=path.suffix != ".py"):
            places = said.setdefault(message, [])
            if place not in places:
                places.append(place)
    said.pop(Message(""), None)
    return said


def _files(app: str) -> Iterator[Path]:
    for pattern in PLACES[app]:
        yield from sorted((settings.BASE_DIR / app).glob(pattern))
