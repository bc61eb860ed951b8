"""Owners without an answer, in words for those who manage."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby
from operator import attrgetter
from zoneinfo import ZoneInfo

from django.conf import settings
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.models import Owner
from schedules.due.lines import DueLine
from schedules.models import DueState, Notice
from schedules.notices.letter import LetterWords, drawn, fan_name, one_line, site_name
from schedules.wording import day_text, reason_text
from schedules.wording.notices import state_text

MOST_OWNERS, MOST_FANS, MOST_LETTERS = 10, 5, 2


@dataclass(frozen=True)
class Silent:
    """An owner's unanswered letters, oldest first, and the fans still overdue, the worst first.

    ``left_on`` is the day on which it left the weekly letters, None where it has not.
    """

    letters: Sequence[Notice]
    states: Sequence[DueState]
    left_on: date | None

    @property
    def owner(self) -> Owner:
        return self.states[0].owner

    @property
    def weeks(self) -> int:
        """Weeks in a row with a letter owed and nothing heard."""
        return len(self.letters)

    @property
    def named(self) -> Sequence[DueState]:
        """The fans that a letter names."""
        return self.states[:MOST_FANS]


@dataclass(frozen=True)
class SilentOwners:
    """All silent owners, the worst first; ``lines`` by fan id, of those fans that are named."""

    owners: Sequence[Silent]
    lines: Mapping[int, DueLine]


@dataclass(frozen=True)
class OwnerWords:
    """One owner: how long silent, how to call, what was sent, what is overdue where.

    ``left`` tells that letters reach it no more; ``more_fans`` and ``more_letters`` what is not
    named; each may be empty.
    """

    name: str
    weeks: str
    phone: str
    left: str
    sites: list[tuple[str, list[str]]]
    more_fans: str
    letters: list[str]
    more_letters: str


def unanswered_words(silent: SilentOwners, zone: ZoneInfo) -> LetterWords:
    """The letter of one week; times by the office's clock."""
    more = len(silent.owners) - MOST_OWNERS
    with timezone.override(zone):
        owners = [_owner(each, silent.lines) for each in silent.owners[:MOST_OWNERS]]
    context = {
        "owners": owners,
        "more": _more_owners(more) if more > 0 else "",
        "page": settings.PUBLIC_URL + reverse("due_list"),
    }
    return drawn("unanswered", _subject(silent.owners), context)


def _subject(owners: Sequence[Silent]) -> str:
    """For how long, and who; of several the worst by name."""
    weeks = sorted(each.weeks for each in owners)
    name, others = owners[0].owner.name, len(owners) - 1
    if weeks[0] == weeks[-1]:
        told = ngettext(
            "Nothing heard for {weeks} weeks: {name}",
            "Nothing heard for {weeks} weeks: {name} and {others} more",
            others + 1,
        )
    else:
        told = _("Nothing heard for {fewest} to {weeks} weeks: {name} and {others} more")
    return told.format(weeks=weeks[-1], fewest=weeks[0], name=name, others=others)


def _more_owners(count: int) -> str:
    return ngettext(
        "And {count} more owner, overdue less long.",
        "And {count} more owners, overdue less long.",
        count,
    ).format(count=count)


def _owner(silent: Silent, lines: Mapping[int, DueLine]) -> OwnerWords:
    named = [lines[state.fan_id] for state in silent.named]
    letters = [_letter(each) for each in reversed(silent.letters[-MOST_LETTERS:])]
    more_fans, more_letters = len(silent.states) - len(named), silent.weeks - len(letters)
    return OwnerWords(
        name=one_line(silent.owner.name),
        weeks=_("nothing heard for {weeks} weeks").format(weeks=silent.weeks),
        phone=one_line(silent.owner.phone),
        left=_left(silent.left_on),
        sites=list(_sites(named)),
        more_fans=ngettext(
            "and {count} more fan overdue", "and {count} more fans overdue", more_fans
        ).format(count=more_fans)
        if more_fans
        else "",
        letters=letters,
        more_letters=ngettext(
            "and {count} more before", "and {count} more before", more_letters
        ).format(count=more_letters)
        if more_letters
        else "",
    )


def _left(on: date | None) -> str:
    if on is None:
        return ""
    return _(
        "They left the weekly letters on {day}: no email tells them what is overdue, only a call "
        "does."
    ).format(day=day_text(on))


def _letter(notice: Notice) -> str:
    """What was written to which address, and whether it went."""
    return _("Week {number}, to {address}: {subject}. {state}").format(
        number=notice.period.rpartition("W")[2],
        address=notice.address,
        subject=one_line(notice.subject),
        state=state_text(notice),
    )


def _sites(lines: Sequence[DueLine]) -> Iterator[tuple[str, list[str]]]:
    """Fans under their kitchens, the kitchen with the worst first."""
    order = list(dict.fromkeys(line.state.site_id for line in lines))
    by_site = sorted(lines, key=lambda line: order.index(line.state.site_id))
    for site, group in groupby(by_site, key=attrgetter("state.site")):
        yield site_name(site), [_fan(line) for line in group]


def _fan(line: DueLine) -> str:
    over = ngettext("overdue by {days} day", "overdue by {days} days", line.days_over)
    told = over.format(days=line.days_over)
    return f"{fan_name(line.state.fan)}: {told}. {reason_text(line)}"
