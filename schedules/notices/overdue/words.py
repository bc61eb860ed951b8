"""The overdue letter in words: its subject, its plain text and the same as a page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from operator import attrgetter
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.models import Owner
from schedules import wording
from schedules.due.lines import DueLine
from schedules.notices.letter import LetterWords, drawn
from visits.models import Recommendation


@dataclass(frozen=True)
class OverdueWeek:
    """What one owner is told in one ISO week: lines of overdue fans by site, advice unanswered."""

    owner: Owner
    lines: Sequence[DueLine]
    advice: Sequence[Recommendation]


@dataclass(frozen=True)
class FanWords:
    """One overdue fan: ``stop`` comes before all else, ``needs`` is what the owner must say."""

    tag: str
    place: str
    over: str
    stop: str
    reasons: list[str]
    needs: str


@dataclass(frozen=True)
class SiteWords:
    """Fans under the name of their kitchen."""

    name: str
    address: str
    fans: list[FanWords]


@dataclass(frozen=True)
class AdviceWords:
    """Advice that waits for an answer."""

    where: str
    day: str
    text: str
    cost: str


def overdue_words(week: OverdueWeek) -> LetterWords:
    """The letter's subject, text and page."""
    context: dict[str, Any] = {
        "owner": week.owner.name,
        "opening": _opening(week.lines),
        "owed": list(_sites([line for line in week.lines if line.beyond is None])),
        "asked": list(_sites([line for line in week.lines if line.beyond is not None])),
        "advice": [_advice(row) for row in week.advice],
        "has_stop": any(line.stop for line in week.lines),
    }
    return drawn("overdue", _subject(week.lines), context)


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


def _sites(lines: Sequence[DueLine]) -> Iterator[SiteWords]:
    for site, group in groupby(lines, key=attrgetter("state.site")):
        yield SiteWords(site.name, site.address, [_fan(line) for line in group])


def _fan(line: DueLine) -> FanWords:
    needs = wording.beyond_text(line) if line.beyond else ""
    said = [wording.reason_text(line), *wording.notes_of(line)]
    stop = wording.stop_text(line) or (said[0] if line.stop else "")
    return FanWords(
        tag=line.state.fan.tag,
        place=line.state.fan.place,
        over=ngettext("overdue by {days} day", "overdue by {days} days", line.days_over).format(
            days=line.days_over
        ),
        stop=stop,
        reasons=[text for text in said if text not in (needs, stop)],
        needs=needs,
    )


def _advice(row: Recommendation) -> AdviceWords:
    return AdviceWords(
        where=f"{row.fan.tag}, {row.fan.site.name}",
        day=wording.day_text(row.visit.local_on),
        text=row.text.strip(),
        cost=f"{row.cost:,.2f}" if row.cost is not None else "",
    )
