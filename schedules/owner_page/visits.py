"""A visit beyond those bought as its owner reads it: which fans it is for, what waiting costs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from operator import attrgetter

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.models import Site
from schedules import wording
from schedules.due.bought import Beyond
from schedules.due.lines import DueLine
from schedules.owner_page.advice import Part
from schedules.wording.owners import WaitingTold, fan_told, over_told
from visits.models import VisitAnswer
from visits.wording.names import upper_first


@dataclass(frozen=True)
class VisitFile:
    """One more visit to a site than was bought, with the fans due on it.

    ``answers`` is all that was said to it, oldest first, ``parts`` what the page says.
    """

    site: Site
    beyond: Beyond
    lines: Sequence[DueLine]
    answers: Sequence[VisitAnswer]
    parts: Sequence[Part]

    @property
    def brief(self) -> list[str]:
        """The same in two lines: what is asked, and the fans it is for."""
        fans = ", ".join(f"{line.state.fan.tag} ({_when(line)})" for line in self.lines)
        return [asked_text(self.beyond), _("It is for: {fans}.").format(fans=fans)]

    @property
    def shown(self) -> str:
        """What the page says, to the letter."""
        return "\n".join(part.shown for part in self.parts)

    @property
    def state(self) -> str:
        """Which visit is asked for and what counts so far: a page gone stale showed another."""
        answer = self.beyond.answer
        return f"{self.beyond.year_on}.{self.beyond.number}.{answer.pk if answer else ''}"


def visits_beyond(lines: Sequence[DueLine], waiting: Mapping[int, WaitingTold]) -> list[VisitFile]:
    """Of lines by site, those due now whose visit lies beyond what was bought; one query."""
    due = [line for line in lines if line.beyond and line.section != "later"]
    answers = list(VisitAnswer.objects.filter(site__in={line.state.site_id for line in due}))
    return [
        _file(list(group), answers, waiting)
        for _site, group in groupby(due, key=attrgetter("state.site"))
    ]


def _file(
    lines: Sequence[DueLine],
    answers: Sequence[VisitAnswer],
    waiting: Mapping[int, WaitingTold],
) -> VisitFile:
    site, beyond = lines[0].state.site, lines[0].beyond
    assert beyond is not None  # noqa: S101
    visit = (site.pk, beyond.year_on, beyond.number)
    said = [row for row in answers if (row.site_id, row.year_on, row.number) == visit]
    return VisitFile(site, beyond, lines, said, list(_parts(site, beyond, lines, waiting)))


def _parts(
    site: Site,
    beyond: Beyond,
    lines: Sequence[DueLine],
    waiting: Mapping[int, WaitingTold],
) -> Iterator[Part]:
    yield Part(_("Kitchen"), site.name)
    yield Part(_("We ask"), asked_text(beyond))
    for line in lines:
        told = waiting[line.state.fan_id]
        name = f"{line.state.fan.tag} ({line.state.fan.place})".removesuffix(" ()")
        yield Part(name, " ".join(_fan(line, told)), told.reckoned)
    yield Part(
        _("Cost"),
        _("It is not among the visits bought, and no price of it is on record here. Ask for one if "
          "your answer hangs on it."),
    )  # fmt: skip
    yield Part(
        _("If you say no"),
        _("We do not come for these dates until the next year of your agreement, and our weekly "
          "letter names these fans no more. What is due stays due on record; a fan marked stop "
          "stays off."),
    )  # fmt: skip


def asked_text(beyond: Beyond) -> str:
    """Which visit is asked for, and why it takes a yes."""
    return ngettext(
        "May we come once more? The one visit bought for the year from {day} is made.",
        "May we come once more? The {visits} visits bought for the year from {day} are made.",
        beyond.visits,
    ).format(visits=beyond.visits, day=wording.day_text(beyond.year_on))


def _when(line: DueLine) -> str:
    return over_told(line) or _("due {day}").format(day=wording.due_text(line))


def _fan(line: DueLine, waiting: WaitingTold) -> Iterator[str]:
    told = fan_told(line)
    yield upper_first(_when(line)) + "."
    yield from filter(None, [told.stop, *told.reasons])
    if not told.stop:
        costs = (waiting.cost, waiting.lapsed)
        yield from (text for text in costs if text and text not in told.reasons)
