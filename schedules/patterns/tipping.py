"""In whose hands fans were tipped, and how often something of them was worse at the next look.

A step is a subject of those one looks at after a hood cleaning (``fleet.quantities.LOOK_LISTS``)
that the last look before did not find at *act* or *stop*, and the first after did, on the same
machine.  Worse after a cleaning need not come from it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, NamedTuple

from django.db.models import Case, Exists, F, OuterRef, QuerySet, Value, When, Window
from django.db.models.functions import Coalesce, RowNumber

from fleet.models import Fan
from fleet.quantities import LOOK_LISTS
from schedules.engine.failures.rates import share_interval
from visits.losses import AT_ONCE
from visits.models import Check, Event
from visits.models.visits import superseded
from visits.services.stored import chunked

YEARS = 2
MOST_CREWS = 10
MOST_EACH = 100
"""The newest tippings of a crew that are looked at."""
BEFORE_DAYS, AFTER_DAYS = 120, 30
"""How far away the looks may lie: the longest usual interval, and twice what a cleaning asks for;
our choice."""
FEWEST_TOLD, FEWEST_FANS = 10, 5
"""Of fewer tippings, or tippings of fewer fans, no share is told: one fan would be all of a crew's
work; our choice."""
HARMED = frozenset(LOOK_LISTS["hood_cleaning"]) - {"grease_box", "vibration"}
BAD, SOUND = ("act", "stop"), ("within", "watch")


class Tipping(NamedTuple):
    """One fan tipped at one cleaning."""

    fan: int
    crew: str
    started_on: date
    ended_on: date


class Seen(NamedTuple):
    """A look: as found, or as left."""

    on: date
    began_at: datetime
    machine: int | None
    judged: Mapping[str, str]


@dataclass(frozen=True)
class Step:
    """What was worse at the first look after than at the last before."""

    fan: Fan
    cleaned_on: date
    before_on: date
    after_on: date
    subjects: Mapping[str, str]


@dataclass(frozen=True)
class Crew:
    """``told`` of ``tipped`` have a look before and after, on so many ``fans``; steps are a share
    of these.

    The limits are of 95 %, Clopper and Pearson's; 0 and 1 where none is told.  They count each fan
    by itself: what befell all fans of one cleaning together makes them too narrow.
    """

    name: str
    tipped: int
    told: int
    fans: int
    steps: Sequence[Step]
    lower: float
    upper: float

    @property
    def share(self) -> float | None:
        return len(self.steps) / self.told if self.told else None

    @property
    def is_few(self) -> bool:
        """Whether so few fans are told of that a share says nothing of a crew."""
        return self.told < FEWEST_TOLD or self.fans < FEWEST_FANS


def crews_of(today: date) -> list[Crew]:
    """Crews that tipped most fans in two years, each by its newest tippings; five statements."""
    tippings = _tippings(today)
    fans_tipped = {each.fan for each in tippings}
    looks, spans = _looks(fans_tipped, today), _spans(fans_tipped, today)
    steps: dict[str, list[tuple[Tipping, Seen, Seen, Mapping[str, str]]]] = defaultdict(list)
    told: dict[str, list[int]] = defaultdict(list)
    for each in tippings:
        if pair := _pair(each, looks.get(each.fan, ()), spans.get(each.fan, ())):
            told[each.crew].append(each.fan)
            if worse := _worse(*pair):
                steps[each.crew].append((each, *pair, worse))
    fans = Fan.objects.select_related("site").in_bulk(
        {found[0].fan for each in steps.values() for found in each}
    )
    by_crew: dict[str, int] = defaultdict(int)
    for each in tippings:
        by_crew[each.crew] += 1
    crews = []
    for name, count in sorted(by_crew.items(), key=lambda pair: (-pair[1], pair[0]))[:MOST_CREWS]:
        found = [
            Step(fans[each.fan], each.ended_on, before.on, after.on, worse)
            for each, before, after, worse in steps[name]
        ]
        seen = told[name]
        limits = share_interval(len(found), len(seen))
        ends = float(limits.lower), float(limits.upper)
        crews.append(Crew(name, count, len(seen), len({*seen}), found, *ends))
    return crews


def _tippings(today: date) -> list[Tipping]:
    """The newest of each crew; a cleaning that names none is that of the system's crew."""
    named = Case(
        When(event__crew="", then=Coalesce(F("event__system__cleaning_crew"), Value(""))),
        default=F("event__crew"),
    )
    since = today - timedelta(days=365 * YEARS)
    rows = _all_tippings(since, today).annotate(crew=named)
    newest = Window(
        RowNumber(), partition_by=[F("crew")],
        order_by=[F("event__ended_on").desc(), F("pk").desc()],
    )  # fmt: skip
    ranked = rows.annotate(newest=newest).filter(newest__lte=MOST_EACH)
    told = ranked.values_list("fan_id", "crew", "event__started_on", "event__ended_on")
    newest_first = sorted((Tipping(*row) for row in told), key=lambda each: each.ended_on)[::-1]
    spelled: dict[str, list[Tipping]] = defaultdict(list)
    for each in newest_first:
        alike = spelled[" ".join(each.crew.split()).casefold()]
        alike.append(each._replace(crew=alike[0].crew) if alike else each)
    return [each for alike in spelled.values() for each in alike[:MOST_EACH]]


def _all_tippings(since: date, today: date) -> QuerySet[Any]:
    """Fans with the cleanings at which they were tipped, ended after ``since``."""
    through: Any = Event.tipped_fans.through
    return through.objects.filter(
        ~Exists(Event.objects.order_by().filter(supersedes=OuterRef("event"))),
        event__kind="hood_cleaning", event__ended_on__gt=since, event__ended_on__lte=today,
    )  # fmt: skip


def _spans(fans: Collection[int], today: date) -> Mapping[int, Sequence[tuple[date, date]]]:
    """First and last days of all cleanings that tipped these fans, whichever crew's."""
    since = today - timedelta(days=365 * YEARS + BEFORE_DAYS)
    found: dict[int, list[tuple[date, date]]] = defaultdict(list)
    rows = _all_tippings(since, today).values_list("fan_id", "event__started_on", "event__ended_on")
    for fan, started_on, ended_on in rows:
        if fan in fans:
            found[fan].append((started_on, ended_on))
    return found


def _looks(fans: Collection[int], today: date) -> Mapping[int, Sequence[Seen]]:
    """By fan in order of time, those of the years told of and shortly before."""
    since = today - timedelta(days=365 * YEARS + BEFORE_DAYS)
    found: dict[int, list[Seen]] = defaultdict(list)
    for part in chunked(fans, AT_ONCE):
        rows = Check.objects.filter(
            ~superseded("visit"), fan__in=part, visit__local_on__gte=since
        ).order_by("began_at", "stage", "pk")
        for fan, *seen in rows.values_list(
            "fan_id", "visit__local_on", "began_at", "machine_id", "judged"
        ):
            found[fan].append(Seen(*seen))
    return found


def _pair(
    tipping: Tipping, looks: Sequence[Seen], spans: Sequence[tuple[date, date]]
) -> tuple[Seen, Seen] | None:
    """The last look before and the first after: near enough, of one machine, one tipping between.

    ``spans`` are all cleanings that tipped the fan; one on the day of a look may lie between.
    Looks that have nothing in common tell nothing.
    """
    last_before = tipping.started_on - timedelta(days=BEFORE_DAYS)
    last_after = tipping.ended_on + timedelta(days=AFTER_DAYS)
    before = [each for each in looks if last_before <= each.on < tipping.started_on]
    after = [each for each in looks if tipping.ended_on < each.on <= last_after]
    if not (before and after) or before[-1].machine != after[0].machine:
        return None
    first, last = _all_of_that_day(before), after[0]
    between = [1 for began, ended in spans if began <= last.on and ended >= first.on]
    is_told = any(first.judged.get(name) in SOUND + BAD for name in last.judged if _may_harm(name))
    return (first, last) if len(between) == 1 and is_told else None


def _all_of_that_day(looks: Sequence[Seen]) -> Seen:
    """The last look, with all that earlier ones of its day saw: as left is seen only what was done.

    Of what both saw, the last counts.
    """
    last = looks[-1]
    judged: dict[str, str] = {}
    for look in looks:
        if (look.on, look.machine) == (last.on, last.machine):
            judged |= look.judged
    return last._replace(judged=judged)


def _may_harm(subject: str) -> bool:
    """What one looks at after a cleaning; vibration of any point by its own subject."""
    return subject in HARMED or subject.startswith("vibration")


def _worse(before: Seen, after: Seen) -> Mapping[str, str]:
    """Subjects known to be neither act nor stop before that are one of them after."""
    return {
        subject: verdict
        for subject, verdict in after.judged.items()
        if verdict in BAD and _may_harm(subject) and before.judged.get(subject) in SOUND
    }
