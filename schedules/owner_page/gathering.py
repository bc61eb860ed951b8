"""All that one owner is shown at once; the number of queries does not grow with the fans."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby
from operator import attrgetter

from django.db.models import Q

from fleet.models import OwnerLink, Site
from schedules.done.misses import NoWayUp, no_way_up
from schedules.due.lines import DueLine, lines_of, section_of
from schedules.due.local_days import LocalDays, days_at
from schedules.due.supplied import Supply, supplies
from schedules.due.waiting import at_stake
from schedules.engine import restart
from schedules.models import DueState
from schedules.notices.advice.asking import standing_advice
from schedules.owner_page.advice import AdviceFile, advice_files, advice_of
from schedules.owner_page.visits import VisitFile, visits_beyond
from schedules.wording.owners import WaitingTold, waiting_told
from visits.models import MadeSafe, Recommendation


@dataclass(frozen=True)
class OwnerFile:
    """Lines of the owner's fans by site, advice that stands, visits due beyond those bought.

    ``waiting``, what waiting costs, and ``made_safe`` are by fan id; onto the roofs of
    ``no_way_up`` nobody could get; ``supplied`` are new fans that the owner supplies.
    """

    lines: Sequence[DueLine]
    advice: Sequence[AdviceFile]
    visits: Sequence[VisitFile]
    waiting: Mapping[int, WaitingTold]
    made_safe: Mapping[int, MadeSafe]
    no_way_up: Sequence[NoWayUp]
    supplied: Sequence[Supply]

    @property
    def stopped(self) -> list[DueLine]:
        """Fans that must not run, are out of service, or stand, as found or as a kitchen said."""
        return [line for line in self.lines if is_stopped(line)]

    @property
    def owed(self) -> list[DueLine]:
        """Overdue fans that we owe a visit, longest first; those told of as stopped left out."""
        owed = [
            line for line in self.lines if line.days_over and line.is_owed and not is_stopped(line)
        ]
        return sorted(owed, key=lambda line: -line.days_over)

    @property
    def asked_visits(self) -> list[VisitFile]:
        """Visits beyond those bought that wait for a yes or no."""
        return [each for each in self.visits if each.beyond.answer is None]

    @property
    def answered_visits(self) -> list[VisitFile]:
        """Those that were answered and are still to come."""
        return [each for each in self.visits if each.beyond.answer]

    @property
    def open_advice(self) -> list[AdviceFile]:
        """What waits for a yes or no."""
        return [each for each in self.advice if each.row.answer is None]

    @property
    def answered_advice(self) -> list[AdviceFile]:
        """What was answered and still stands."""
        return [each for each in self.advice if each.row.answer]

    def by_site(self) -> Iterator[tuple[str, list[DueLine]]]:
        """Every fan under its kitchen."""
        for site, lines in groupby(self.lines, key=attrgetter("state.site")):
            yield site.name, list(lines)


def waiting_of(lines: Sequence[DueLine]) -> Mapping[int, WaitingTold]:
    """What waiting costs, by fan id."""
    stakes = at_stake(lines)
    return {line.state.fan_id: waiting_told(line, stakes.get(line.state.fan_id)) for line in lines}


def is_stopped(line: DueLine) -> bool:
    """Whether it stands or has to: what the page tells first, and once."""
    return not line.may_run or is_out(line)


def is_out(line: DueLine) -> bool:
    """Whether the fan is out of service: what comes next is a restart check."""
    return any(told.rule == restart.number for told in line.dates)


def read_owner_file(link: OwnerLink, now: datetime) -> OwnerFile:
    """Everything the link's owner may know today."""
    lines = owner_lines(link, now)
    waiting = waiting_of(lines)
    today = {line.state.site_id: line.today for line in lines}
    rows = standing_advice(advice_of(link))
    out = [line.state.fan_id for line in lines if is_out(line)]
    return OwnerFile(
        lines=lines,
        advice=advice_files(rows, waiting, _todays(rows, today, now)),
        visits=visits_beyond(lines, waiting),
        waiting=waiting,
        made_safe=_made_safe(out),
        no_way_up=no_way_up(now, Q(site__owner=link.owner_id)),
        supplied=supplies(Q(fan__site__owner=link.owner_id)),
    )


def owner_lines(reader: object, now: datetime, **which: object) -> list[DueLine]:
    """Due lines that a link, or somebody here, may see, by site and tag."""
    rows = (
        DueState.objects.visible_to(reader).filter(**which).select_related("fan", "site", "owner")
    )
    states = list(rows.order_by("site__name", "site", "fan__tag", "fan"))
    days: LocalDays = days_at(now, {state.site.time_zone for state in states})
    placed = [(section_of(state, days), state) for state in states]
    return lines_of(placed, days, for_owner=True)


def _todays(
    rows: Sequence[Recommendation], known: Mapping[int, date], now: datetime
) -> Mapping[int, date]:
    """Today by site, also of fans not reckoned yet."""
    sites = (row.fan.site for row in rows)
    return {site.pk: now.astimezone(site.zone).date() for site in sites} | dict(known)


def _made_safe(fan_ids: Sequence[int]) -> Mapping[int, MadeSafe]:
    """The newest record of each fan out of service."""
    rows = MadeSafe.objects.filter(fan__in=fan_ids, visit__superseded_by__isnull=True)
    newest_last = rows.select_related("visit").order_by("visit__began_at", "pk")
    return {row.fan_id: row for row in newest_last}


def read_visit(reader: object, site: Site, now: datetime) -> VisitFile | None:
    """The visit beyond those bought that is due at a site the reader may see; None for none."""
    lines = owner_lines(reader, now, site=site.pk)
    return next(iter(visits_beyond(lines, waiting_of(lines))), None)


def read_advice(link: OwnerLink, row: Recommendation, now: datetime) -> AdviceFile:
    """One piece of the owner's advice with all that its page says."""
    lines = owner_lines(link, now, fan=row.fan_id)
    return advice_files([row], waiting_of(lines), _todays([row], {}, now))[0]
