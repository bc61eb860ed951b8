"""The readings and notes behind open findings, for the sentences of a list or a page."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from fleet.quantities import VERDICT_ORDER
from schedules.engine.codes import SUBJECTS
from schedules.engine.record import RuleDate
from visits.judging import judgements_of, subject_of
from visits.limits import Judgement
from visits.models import Check, Finding

FOLLOW_UP = 6
_NAMES = {order: name for name, order in VERDICT_ORDER.items()}


@dataclass(frozen=True)
class Wanted:
    """An open finding as its rule tells it."""

    fan_id: int
    on: date
    subject: str
    verdict: str


def evidence_of(dates: Iterable[tuple[int, RuleDate]]) -> Mapping[int, Judgement | Finding]:
    """By fan id, what was read or written down where its date is of an open finding.

    A fan appears once; others are left out, as is a finding whose reading means another verdict
    today.  Five queries however many fans there are.
    """
    wanted = {fan_id: _wanted(fan_id, told) for fan_id, told in dates if told.rule == FOLLOW_UP}
    if not wanted:
        return {}
    noted = _notes(wanted)
    return {**noted, **_readings(wanted)}


def _wanted(fan_id: int, told: RuleDate) -> Wanted:
    args = told.args
    return Wanted(
        fan_id,
        date.fromordinal(int(args["seen_day"])),
        SUBJECTS[int(args["subject"])],
        _NAMES[int(args["verdict"])],
    )


def _readings(wanted: Mapping[int, Wanted]) -> dict[int, Judgement | Finding]:
    """The judgement of the last check on the day a finding was last seen."""
    rows = Check.objects.filter(
        fan__in=wanted,
        visit__local_on__in={one.on for one in wanted.values()},
        visit__superseded_by__isnull=True,
    )
    chosen: dict[int, Check] = {}
    for check in rows.select_related("visit").order_by("began_at", "pk"):
        one = wanted[check.fan_id]
        if check.visit.local_on == one.on and check.judged.get(one.subject) == one.verdict:
            chosen[check.fan_id] = check
    found: dict[int, Judgement | Finding] = {}
    for fan_id, judgements in zip(chosen, judgements_of(list(chosen.values())), strict=True):
        one = wanted[fan_id]
        for judgement in judgements:
            if subject_of(judgement) == one.subject and judgement.verdict == one.verdict:
                found[fan_id] = judgement
    return found


def _notes(wanted: Mapping[int, Wanted]) -> dict[int, Finding]:
    """What a person wrote down of the same subject on the same day."""
    rows = Finding.objects.filter(
        fan__in=wanted,
        visit__local_on__in={one.on for one in wanted.values()},
        visit__superseded_by__isnull=True,
    )
    found: dict[int, Finding] = {}
    for finding in rows.select_related("visit").order_by("visit__began_at", "pk"):
        one = wanted[finding.fan_id]
        names = (finding.subject, finding.item)
        if finding.visit.local_on == one.on and one.subject in names:
            found[finding.fan_id] = finding
    return found
