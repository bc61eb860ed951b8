"""Owners without an answer, in words for those who manage."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from operator import attrgetter

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.models import Owner
from schedules.due.lines import DueLine
from schedules.models import Notice
from schedules.notices.letter import LetterWords, drawn, fan_name, one_line, site_name
from schedules.wording import reason_text
from schedules.wording.notices import state_text


@dataclass(frozen=True)
class Silent:
    """An owner's unanswered letters, oldest first, and the fans still overdue, by site."""

    letters: Sequence[Notice]
    lines: Sequence[DueLine]

    @property
    def owner(self) -> Owner:
        return self.lines[0].state.owner


@dataclass(frozen=True)
class OwnerWords:
    """One owner: how long silent, how to call, what was sent, what is overdue where."""

    name: str
    weeks: str
    phone: str
    letters: list[str]
    sites: list[tuple[str, list[str]]]


def unanswered_words(silent: Sequence[Silent]) -> LetterWords:
    """The letter of one week."""
    longest = max(len(each.letters) for each in silent)
    subject = ngettext(
        "No answer for {weeks} weeks: {name}",
        "No answer for up to {weeks} weeks from {owners} owners",
        len(silent),
    ).format(weeks=longest, owners=len(silent), name=silent[0].owner.name)
    context = {
        "owners": [_owner(each) for each in silent],
        "page": settings.PUBLIC_URL + reverse("due_list"),
    }
    return drawn("unanswered", subject, context)


def _owner(silent: Silent) -> OwnerWords:
    return OwnerWords(
        name=one_line(silent.owner.name),
        weeks=_("no answer to {weeks} weekly letters in a row").format(weeks=len(silent.letters)),
        phone=one_line(silent.owner.phone),
        letters=[_letter(each) for each in silent.letters],
        sites=list(_sites(silent.lines)),
    )


def _letter(notice: Notice) -> str:
    """What was written to which address, and whether it went."""
    return f"{notice.period}, {notice.address}: {one_line(notice.subject)}. {state_text(notice)}"


def _sites(lines: Sequence[DueLine]) -> Iterator[tuple[str, list[str]]]:
    for site, group in groupby(lines, key=attrgetter("state.site")):
        yield site_name(site), [_fan(line) for line in group]


def _fan(line: DueLine) -> str:
    over = ngettext("overdue by {days} day", "overdue by {days} days", line.days_over)
    told = over.format(days=line.days_over)
    return f"{fan_name(line.state.fan)}: {told}. {reason_text(line)}"
