"""Overdue fans by kitchen, the worst first: some told in full, the rest in a line each."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from schedules.due.lines import DueLine
from schedules.due.waiting import AtStake
from schedules.notices.letter import fan_name, one_line, site_name
from schedules.wording import when_booked_text
from schedules.wording.owners import fan_told, over_told, waiting_told

MOST_FANS = 12
"""Fans of a section told in full, and those of the last kitchen begun; our choice."""


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
class SectionWords:
    """Kitchens told in full, then the rest in a line each; ``needs`` where it is one for all."""

    sites: list[SiteWords]
    brief: list[str]
    needs: str
    all_settled: bool
    none_settled: bool


def section_words(lines: Sequence[DueLine], stakes: Mapping[int, AtStake]) -> SectionWords:
    """Of these lines by kitchen: stops first, then what is overdue longest."""
    by_site: dict[int, list[DueLine]] = defaultdict(list)
    for line in sorted(lines, key=_badness):
        by_site[line.state.site_id].append(line)
    whole, brief, told = [], [], 0
    for there in by_site.values():
        if told < MOST_FANS:
            whole.append(there)
            told += len(there)
        else:
            brief.append(_brief(there))
    needs = {fan_told(line).needs for line in lines}
    shared = needs.pop() if len(needs) == 1 else ""
    booked = [there[0].booked is not None for there in by_site.values()]
    sites = [_site(there, stakes, shared) for there in whole]
    return SectionWords(sites, brief, shared, all(booked), not any(booked))


def _badness(line: DueLine) -> tuple[bool, int]:
    return not line.must_stand, -line.days_over


def _site(there: Sequence[DueLine], stakes: Mapping[int, AtStake], shared: str) -> SiteWords:
    needs = dict.fromkeys(fan_told(line).needs for line in there)
    return SiteWords(
        name=site_name(there[0].state.site),
        coming=_coming(there[0]),
        needs="" if shared else " ".join(filter(None, needs)),
        fans=[_fan(line, stakes) for line in there],
    )


def _coming(line: DueLine) -> str:
    if line.booked is None:
        return ""
    return _("A technician is coming on {when}.").format(when=when_booked_text(line.booked))


def _brief(there: Sequence[DueLine]) -> str:
    fans = ", ".join(f"{one_line(line.state.fan.tag)} {over_told(line)}" for line in there)
    told = _("{site}: {fans}.").format(site=one_line(there[0].state.site.name), fans=fans)
    return f"{told} {_coming(there[0])}".strip()


def _fan(line: DueLine, stakes: Mapping[int, AtStake]) -> FanWords:
    told, waiting = fan_told(line), waiting_told(line, stakes.get(line.state.fan_id))
    costs = [waiting.cost, waiting.lapsed] if not told.stop else []
    return FanWords(
        name=fan_name(line.state.fan),
        over=over_told(line),
        stop=told.stop,
        reasons=told.reasons,
        waiting=[text for text in costs if text and text not in told.reasons],
    )
