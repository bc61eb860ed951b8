"""The readings, notes and facts behind dates, for the sentences of a list or a page."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

from django.db.models import QuerySet

from fleet.quantities import VERDICT_ORDER
from schedules.due.grounds import LeftOut, Monthly, grounds_of
from schedules.engine import follow_up, vibration
from schedules.engine.codes import SUBJECTS
from schedules.engine.record import RuleDate
from visits.judging import judgements_of, subject_of
from visits.limits import Judgement
from visits.models import Check, Finding

VERDICT_NAMES = {order: name for name, order in VERDICT_ORDER.items()}
Evidence = Judgement | Finding | Monthly | LeftOut
Row = TypeVar("Row", Check, Finding)


Found = Mapping[int, Mapping[int, Evidence]]
"""By fan id, then by the number of the rule: each rule gives a fan one date."""


@dataclass(frozen=True)
class Wanted:
    """What a rule rests on: one subject of one fan on one day; ``verdict`` empty for any."""

    fan_id: int
    rule: int
    on: date
    subject: str
    verdict: str

    def fits(self, verdict: str | None) -> bool:
        """Whether a reading of the subject is the one meant."""
        return verdict is not None and self.verdict in ("", verdict)


Places = dict[tuple[int, date], list[Wanted]]
"""What is wanted, by fan and day."""


Judged = tuple[int, date, Iterable[Judgement]]
"""What was just read of a fan on a day."""


def evidence_of(dates: Iterable[tuple[int, RuleDate]], at_hand: Iterable[Judged] = ()) -> Found:
    """What was read or written down where a date rests on one such thing, and facts behind it.

    Other dates are left out, as is a reading that means another verdict today.  Eight queries
    at most, however many fans there are; ``at_hand`` are readings that need not be asked for.
    """
    dates = list(dates)
    found: dict[int, dict[int, Evidence]] = defaultdict(dict)
    for fan_id, rule, fact in grounds_of(dates):
        found[fan_id][rule] = fact
    wanted: Places = defaultdict(list)
    for one in (_wanted(fan_id, told) for fan_id, told in dates):
        if one is not None:
            wanted[one.fan_id, one.on].append(one)
    for fan_id, on, judgements in at_hand:
        for one, judgement in _matching(wanted.get((fan_id, on), ()), judgements):
            found[fan_id][one.rule] = judgement
    wanted = {
        place: left
        for place, ones in wanted.items()
        if (left := [one for one in ones if one.rule not in found[one.fan_id]])
    }
    if not wanted:
        return found
    # a reading says more than a note, and replaces it
    for one, finding in _notes(wanted):
        found[one.fan_id][one.rule] = finding
    for one, judgement in _readings(wanted):
        found[one.fan_id][one.rule] = judgement
    return found


def _wanted(fan_id: int, told: RuleDate) -> Wanted | None:
    args = told.args
    if told.rule == follow_up.number:
        subject = SUBJECTS[int(args["subject"])]
    elif told.rule == vibration.number and args["point"] < len(vibration.POINTS):
        subject = f"vibration_{vibration.POINTS[int(args['point'])]}"
    else:
        return None
    verdict = VERDICT_NAMES[int(args["verdict"])] if "verdict" in args else ""
    seen_on = date.fromordinal(int(args["seen_day"]))
    return Wanted(fan_id, told.rule, seen_on, subject, verdict)


def _on_their_days(rows: QuerySet[Row], wanted: Places) -> QuerySet[Row]:
    """Standing rows of these fans on any of the days wanted, with their visits."""
    standing = rows.filter(
        fan__in={fan_id for fan_id, _ in wanted},
        visit__local_on__in={day for _, day in wanted},
        visit__superseded_by__isnull=True,
    )
    return standing.select_related("visit")


def _readings(wanted: Places) -> Iterator[tuple[Wanted, Judgement]]:
    """The judgement of the last check that saw the subject on its day."""
    chosen: dict[Wanted, Check] = {}
    for check in _on_their_days(Check.objects.all(), wanted).order_by("began_at", "pk"):
        for one in wanted.get((check.fan_id, check.visit.local_on), ()):
            if one.fits(check.judged.get(one.subject)):
                chosen[one] = check
    for one, judgements in zip(chosen, judgements_of(list(chosen.values())), strict=True):
        yield from _matching([one], judgements)


def _matching(
    wanted: Iterable[Wanted], judgements: Iterable[Judgement]
) -> Iterator[tuple[Wanted, Judgement]]:
    """The judgements that are the ones meant."""
    for judgement in judgements:
        for one in wanted:
            if subject_of(judgement) == one.subject and one.fits(judgement.verdict):
                yield one, judgement


def _notes(wanted: Places) -> Iterator[tuple[Wanted, Finding]]:
    """What a person wrote down of the same subject on the same day."""
    rows = _on_their_days(Finding.objects.all(), wanted)
    for finding in rows.order_by("visit__began_at", "pk"):
        for one in wanted.get((finding.fan_id, finding.visit.local_on), ()):
            if one.subject in (finding.subject, finding.item):
                yield one, finding
