"""What is due on the roofs of one day, with each fan's past; read once for all technicians."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

from django.db.models import Q

from fleet.quantities import VERDICT_ORDER
from schedules.due.lines import WEEK_DAYS, DueLine, lines_of, section_of
from schedules.due.local_days import same_day
from schedules.fan_page.cautions import UNSAFE_TO_TIP, is_at_fault
from schedules.models import DueState
from visits.models import Action, Check, Finding

MOST_WORK = 2


@dataclass(frozen=True)
class Look:
    """A fan's last look: what it judged worse than within, by subject.

    ``is_unsafe_to_tip`` where hinge or catch, as last seen by any look, holds no tipped fan.
    """

    on: date
    kind: str
    open: Mapping[str, str]
    is_unsafe_to_tip: bool


Work = tuple[date, str, str]
"""Day, kind and item of something done."""
Failure = tuple[date, str, str]
"""Day, item and failure mode of a loss of function."""


@dataclass(frozen=True)
class Past:
    """A fan's past in short; None and nothing where the record has none."""

    look: Look | None
    work: Sequence[Work]
    failure: Failure | None


@dataclass
class Roofs:
    """The sites that somebody goes to on a day."""

    day: date
    site_ids: Collection[int]

    @cached_property
    def lines(self) -> Mapping[int, Sequence[DueLine]]:
        """By site, fans due within a week of the day or to be acted on; stops first."""
        soon = Q(due_on__lte=self.day + timedelta(days=WEEK_DAYS))
        rows = DueState.objects.filter(
            soon | Q(worst_verdict__gte=VERDICT_ORDER["act"]), site__in=self.site_ids
        )
        states = sorted(
            rows.select_related("fan", "site", "owner"),
            key=lambda state: (-state.worst_verdict, state.due_on or date.max, state.fan.tag),
        )
        days = same_day(self.day, {state.site.time_zone for state in states})
        found: dict[int, list[DueLine]] = defaultdict(list)
        for line in lines_of([(section_of(state, days), state) for state in states], days):
            found[line.state.site_id].append(line)
        return found

    @cached_property
    def pasts(self) -> Mapping[int, Past]:
        """By fan, of the fans in ``lines``; three queries."""
        fans = [line.state.fan_id for lines in self.lines.values() for line in lines]
        looks, work, failures = _looks(fans), _work(fans), _failures(fans)
        return {fan: Past(looks.get(fan), work.get(fan, ()), failures.get(fan)) for fan in fans}


def _looks(fans: Sequence[int]) -> Mapping[int, Look]:
    """The last look at each fan."""
    items = tuple(UNSAFE_TO_TIP)
    rows = Check.objects.filter(fan__in=fans, visit__superseded_by=None).order_by("began_at", "pk")
    found: dict[int, Look] = {}
    states: dict[int, dict[str, str]] = defaultdict(dict)
    columns = ("fan", "visit__local_on", "visit__kind", "judged", *items)
    for fan, on, kind, judged, *seen in rows.values_list(*columns):
        states[fan] |= {item: state for item, state in zip(items, seen, strict=True) if state}
        worse = {name: said for name, said in judged.items() if said in ("watch", "act", "stop")}
        unsafe = any(is_at_fault(item, state) for item, state in states[fan].items())
        found[fan] = Look(on, kind, worse, unsafe)
    return found


def _work(fans: Sequence[int]) -> Mapping[int, Sequence[Work]]:
    """The newest work on each fan."""
    rows = Action.objects.filter(fan__in=fans, visit__superseded_by=None)
    found: dict[int, list[Work]] = defaultdict(list)
    ordered = rows.order_by("-visit__began_at", "pk")
    for fan, on, kind, item in ordered.values_list("fan", "visit__local_on", "kind", "item"):
        if len(found[fan]) < MOST_WORK:
            found[fan].append((on, kind, item))
    return found


def _failures(fans: Sequence[int]) -> Mapping[int, Failure]:
    """The last loss of function of each fan."""
    rows = Finding.objects.standing().filter(fan__in=fans, loss_of_function=True)
    told = rows.order_by("visit__began_at").values_list(
        "fan", "failed_on", "visit__local_on", "item", "failure_mode"
    )
    return {fan: (failed_on or seen_on, item, mode) for fan, failed_on, seen_on, item, mode in told}
