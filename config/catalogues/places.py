"""What is said in Spanish: the files, by app, that owners and technicians on roofs read.

The company's desk pages are English throughout: no language is set for them (``config.languages``).
"""

from __future__ import annotations

from pathlib import Path

from django.conf import settings

from config.catalogues.messages import Message, messages_in

KINDS = ("advice", "answered", "critical", "day", "made_safe", "no_access", "overdue")
"""Letters to owners and to technicians."""
FAN_PAGE = ("beside", "cautions", "driving", "plate", "plate_reading", "readings", "typed")
"""What a phone takes along of a fan, as its page has it."""
PARTS = ("answer", "asked", "confirmed", "first", "leave", "no_way", "section", "site")
WORDING = (
    "bookings", "cause*", "days", "done", "explained", "hours", "leaving", "lines", "money", "odds",
    "rounds", "rules", "seen", "supplied", "untold", "vibration", "visit_answers",
)  # fmt: skip
LANGUAGE = "es"
PLACES: dict[tuple[str, str], tuple[str, ...]] = {
    ("config", "django"): (
        "api/access.py", "api/bodies.py", "api/filters.py", "api/problems.py", "api/signing_in.py",
        "languages.py", "lengths.py", "templates/base.html", "trouble.py",
    ),
    ("fleet", "django"): (
        "plate_words.py", "plates.py", "ratings.py", "services/errors.py", "services/machines.py",
        "services/plates.py", "services/rows.py",
    ),
    ("visits", "django"): (
        "api/*.py", "payload/*.py", "pictures.py", "services/*.py", "wording/*.py",
    ),
    ("schedules", "djangojs"): ("static/schedules/phone/*.js",),
    ("schedules", "django"): (
        "agreeing.py", "answering.py", "api/batch.py", "api/posting.py", "api/round.py",
        "bookings/calendar.py",
        "round_sheet/cautions.py", "round_sheet/past_words.py",
        *(f"fan_page/{name}.py" for name in FAN_PAGE),
        "owner_page/*.py", "pages/owner/*.py", "phone/**/*.py",
        *(f"notices/{kind}/*.py" for kind in KINDS), "notices/links.py", "notices/asked_now.py",
        *(f"templates/schedules/mail/{name}.*" for name in (*KINDS, *PARTS)),
        "templates/schedules/leave.html", "templates/schedules/owner/*.html",
        "templates/schedules/phone/round.html",
        *(f"wording/{name}.py" for name in WORDING), "wording/owners/*.py",
    ),
}  # fmt: skip
"""Files by app and domain of gettext; ``djangojs`` is what browsers load."""


def catalogue_path(app: str, domain: str) -> Path:
    """Where a catalogue lies, without ``.po`` or ``.mo``."""
    return settings.BASE_DIR / app / "locale" / LANGUAGE / "LC_MESSAGES" / domain


def said_in(app: str, domain: str) -> dict[Message, list[str]]:
    """Every message of these places with the files that say it, in their order."""
    said: dict[Message, list[str]] = {}
    for pattern in PLACES[app, domain]:
        for path in sorted((settings.BASE_DIR / app).glob(pattern)):
            place = path.relative_to(settings.BASE_DIR).as_posix()
            for message in messages_in(path):
                places = said.setdefault(message, [])
                if place not in places:
                    places.append(place)
    return said
