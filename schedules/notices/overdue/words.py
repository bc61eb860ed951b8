"""The overdue letter in words: its subject, its plain text and the same as a page."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from operator import attrgetter
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.models import Owner
from schedules.due.lines import DueLine
from schedules.due.waiting import AtStake, at_stake
from schedules.notices.letter import (
    LetterWords,
    drawn_for_owner,
    fan_name,
    lines_in,
    one_line,
    site_name,
)
from schedules.wording import day_text, money_text, when_booked_text
from schedules.wording.owners import FanTold, fan_told, over_told, waiting_told
from visits.models import Recommendation


@dataclass(frozen=True)
class OverdueWeek:
    """What one owner is told in one ISO week: lines of overdue fans by site, advice unanswered.

    ``apart`` counts what a letter of its own asks the same day.
    """

    owner: Owner
    lines: Sequence[DueLine]
    advice: Sequence[Recommendation]
    apart: int
    now: datetime


@dataclass(frozen=True)
class FanWords:
    """One overdue fan: ``stop`` comes before all else.

    ``waiting`` is what waiting costs, each a sentence; of a fan that stands what that means.
    """

    name: str
    over: str
    stop: str
    reasons: list[str]
    waiting: list[str]


@dataclass(frozen=True)
class SiteWords:
    """Fans under the name of their kitchen, when somebody comes there, what the owner must say."""

    name: str
    coming: str
    needs: str
    fans: list[FanWords]


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
    owed = list(_sites([line for line in week.lines if line.is_owed], stakes))
    context: dict[str, Any] = {
        "opening": _opening(week.lines),
        "owed": owed,
        "unsettled": [site.name for site in owed if not site.coming],
        "asked": list(_sites([line for line in week.lines if not line.is_owed], stakes)),
        "advice": [_advice(row) for row in week.advice],
        "apart": _apart(week.apart),
        "has_stop": any(line.stop for line in week.lines),
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


def _sites(lines: Sequence[DueLine], stakes: Mapping[int, AtStake]) -> Iterator[SiteWords]:
    for site, group in groupby(lines, key=attrgetter("state.site")):
        there = list(group)
        told = [(line, fan_told(line)) for line in there]
        needs = dict.fromkeys(each.needs for _line, each in told if each.needs)
        fans = [_fan(line, each, stakes) for line, each in told]
        yield SiteWords(site_name(site), _coming(there[0]), " ".join(needs), fans)


def _coming(line: DueLine) -> str:
    if line.booked is None:
        return ""
    return _("A technician is coming on {when}.").format(when=when_booked_text(line.booked))


def _fan(line: DueLine, told: FanTold, stakes: Mapping[int, AtStake]) -> FanWords:
    waiting = waiting_told(line, stakes.get(line.state.fan_id))
    return FanWords(
        name=fan_name(line.state.fan),
        over=over_told(line),
        stop=told.stop,
        reasons=told.reasons,
        waiting=[] if told.stop else list(filter(None, [waiting.cost, waiting.lapsed])),
    )


def _advice(row: Recommendation) -> AdviceWords:
    return AdviceWords(
        where=f"{fan_name(row.fan)}, {one_line(row.fan.site.name)}",
        day=day_text(row.visit.local_on),
        lines=lines_in(row.text),
        cost=money_text(row.cost) if row.cost is not None else "",
    )
