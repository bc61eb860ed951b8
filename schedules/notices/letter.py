"""What every kind of notice hands over to be written: to whom, for which period, in what words."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.template.loader import render_to_string

from fleet.models import Owner, Person
from schedules.models import Notice

LONGEST_SUBJECT = 120


@dataclass(frozen=True)
class LetterWords:
    """What goes out; ``calendar`` is an iCalendar file beside it, or empty."""

    subject: str
    text: str
    html: str
    calendar: str = ""


@dataclass(frozen=True)
class Letter:
    """An email owed once for its kind, addressee and period; to an owner or to a person here.

    ``words`` is asked only where the letter is not on record yet.
    """

    kind: Notice.Kind
    addressee: str
    period: str
    address: str
    words: Callable[[], LetterWords]
    owner: Owner | None = None
    person: Person | None = None

    @property
    def key(self) -> Mapping[str, str]:
        """The columns that let it be owed once."""
        return {"kind": self.kind, "addressee": self.addressee, "period": self.period}


@dataclass(frozen=True)
class Unreachable:
    """Somebody who is owed a letter and has no address."""

    name: str


def drawn(template: str, subject: str, context: Mapping[str, Any]) -> LetterWords:
    """The words of ``schedules/mail/<template>.txt`` and ``.html`` under a subject of one line."""
    told = " ".join(subject.split())
    if len(told) > LONGEST_SUBJECT:
        told = told[: LONGEST_SUBJECT - 1] + "…"
    known = {**context, "subject": told}
    return LetterWords(
        subject=told,
        text=render_to_string(f"schedules/mail/{template}.txt", known),
        html=render_to_string(f"schedules/mail/{template}.html", known),
    )
