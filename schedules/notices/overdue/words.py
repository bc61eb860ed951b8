"""The overdue letter in words: its subject, its plain text and the same as a page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.models import Owner
from schedules.done.misses import NoWayUp
from schedules.due.lines import DueLine
from schedules.due.waiting import at_stake
from schedules.notices.found import doubts_of
from schedules.notices.letter import (
    LetterWords,
    drawn_for_owner,
    fan_name,
    lines_in,
    one_line,
)
from schedules.notices.no_access.words import no_way_words
from schedules.notices.overdue.sites import section_words
from schedules.wording import day_text, money_text
from visits.models import Recommendation

MOST_ADVICE = 8


@dataclass(frozen=True)
class OverdueWeek:
    """What one owner is told in one ISO week: lines of overdue fans by site, advice unanswered.

    ``apart`` counts what a letter of its own asks the same day; onto the roofs of ``no_way`` nobody
    could get.
    """

    owner: Owner
    lines: Sequence[DueLine]
    advice: Sequence[Recommendation]
    apart: int
    now: datetime
    no_way: Sequence[NoWayUp] = ()


@dataclass(frozen=True)
class AdviceWords:
    """Advice that waits for an answer."""

    where: str
    day: str
    lines: list[str]
    cost: str


def overdue_words(week: OverdueWeek) -> LetterWords:
    """The letter's subject, text and page."""
    stakes = at_stake(week.lines)
    context: dict[str, Any] = {
        "opening": _opening(week.lines),
        "owed": section_words([line for line in week.lines if line.is_owed], stakes),
        "asked": section_words([line for line in week.lines if not line.is_owed], stakes),
        "advice": [_advice(row) for row in week.advice[:MOST_ADVICE]],
        "more_advice": _more_advice(len(week.advice) - MOST_ADVICE),
        "apart": _apart(week.apart),
        "no_way_up": [no_way_words(each) for each in week.no_way],
        "has_stop": any(line.must_stand for line in week.lines),
        "has_prices": bool(stakes),
    }
    return drawn_for_owner("overdue", _subject(week.lines), week.owner, week.now, context)


def _subject(lines: Sequence[DueLine]) -> str:
    """What is overdue and where."""
    sites = {line.state.site_id for line in lines}
    if len(sites) > 1:
        return _("Overdue: {fans} exhaust fans at {sites} kitchens").format(
            fans=len(lines), sites=len(sites)
        )
    return ngettext(
        "Overdue: exhaust fan {tag} at {site}", "Overdue: {fans} exhaust fans at {site}", len(lines)
    ).format(fans=len(lines), tag=lines[0].state.fan.tag, site=lines[0].state.site.name)


def _opening(lines: Sequence[DueLine]) -> str:
    return ngettext(
        "One of your exhaust fans should have been visited by now.",
        "{fans} of your exhaust fans should have been visited by now.",
        len(lines),
    ).format(fans=len(lines))


def _apart(count: int) -> str:
    if not count:
        return ""
    return ngettext(
        "Your yes or no to one piece of advice: it is in a letter of its own, and on your page.",
        "Your yes or no to {count} pieces of advice: they are in a letter of their own, and on "
        "your page.",
        count,
    ).format(count=count)


def _more_advice(count: int) -> str:
    if count <= 0:
        return ""
    return ngettext(
        "And to one more piece of advice, on your page.",
        "And to {count} more pieces of advice, on your page.",
        count,
    ).format(count=count)


def _advice(row: Recommendation) -> AdviceWords:
    return AdviceWords(
        where=f"{fan_name(row.fan)}, {one_line(row.fan.site.name)}",
        day=day_text(row.visit.local_on),
        lines=[*lines_in(row.text), *doubts_of([row])],
        cost=money_text(row.cost) if row.cost is not None else "",
    )
