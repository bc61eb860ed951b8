"""What is on record of the fans of a round, in a number of statements that does not grow."""

from __future__ import annotations

import logging
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any

from config.questions import Row
from fleet.plates import Feed, Plate
from fleet.quantities import VIBRATION_POINTS
from schedules.due.answers import read_answer
from schedules.due.behind import check_columns
from schedules.due.bought import agreements_of, is_left_to_us, spending_limit
from schedules.due.evidence import Evidence, evidence_of
from schedules.due.records import events_about, records_in
from schedules.due.truth import Truth, read_truth
from schedules.engine import walk_through
from schedules.engine.findings import Finding, standing_findings
from schedules.engine.record import RuleDate
from schedules.notices.advice.asking import standing_advice
from schedules.round_sheet.past import CALL_BACK, FAILED, MENDED, Look, Trouble
from visits.judging import NO_PLATE, answered_of, feed_in_force, plate_of
from visits.models import Check, Decision, MadeSafe, Recommendation
from visits.models.visits import superseded

log = logging.getLogger(__name__)
OF_THE_ROOF = ("volts", "grease")
"""Readings that stay when a machine is replaced, by how their names begin."""


@dataclass(frozen=True)
class Record:
    """One fan on the day of a round; rows are those of ``schedules.due.truth``, oldest first.

    ``findings`` are those that stand, None where the record cannot be read; ``advice`` with what
    was answered to it, None for nothing yet; ``may_spend`` by advice that needs no answer.
    """

    day: date
    fan: Row
    machines: Sequence[Row]
    feed: Feed
    checks: Sequence[Row]
    actions: Sequence[Row]
    notes: Sequence[Row]
    events: Sequence[Row]
    findings: Sequence[Finding] | None
    dates: Mapping[int, RuleDate]
    seen: Mapping[int, Evidence]
    advice: Sequence[Advice]
    made_safe: MadeSafe | None

    @cached_property
    def machine(self) -> Row | None:
        """What is in place."""
        return next((row for row in self.machines if row["removed_on"] is None), None)

    @cached_property
    def plate(self) -> Plate:
        return plate_of(self.machine) if self.machine else NO_PLATE

    @property
    def is_belt_driven(self) -> bool:
        return self.plate.drive == "belt"

    @property
    def open(self) -> Sequence[Finding]:
        """Findings that stand, worst first; those seen longest come first."""
        return sorted(self.findings or (), key=lambda each: (-each.verdict, each.seen_day))

    @cached_property
    def looks(self) -> list[Look]:
        """Looks as found, oldest first; complete by the list of the machine then in place."""
        belts = {row["id"]: plate_of(row).drive == "belt" for row in self.machines}
        return [
            Look(
                row["visit__local_on"], row["visit__kind"],
                walk_through.list_for(belt_drive=belts.get(row["machine_id"], False))
                <= answered_of(row),
                row["judged"],
            )
            for row in self.checks
            if row["stage"] == "as_found"
        ]  # fmt: skip

    @property
    def troubles(self) -> Iterator[Trouble]:
        """Losses of function and what mended something."""
        for row in self.notes:
            if row["loss_of_function"] or row["call_back"]:
                what = CALL_BACK if row["call_back"] else FAILED
                on = row["failed_on"] or row["visit__local_on"]
                yield Trouble(on, what, row["item"])
        for row in self.actions:
            if row["kind"] in MENDED:
                yield Trouble(row["visit__local_on"], row["kind"], row["item"])

    def last_read(self, *names: str) -> Row | None:
        """The newest check that has one of these readings, of this machine where that matters."""
        of_roof = names[0].startswith(OF_THE_ROOF)
        return next((row for row in reversed(self.checks) if self._has(row, names, of_roof)), None)

    def _has(self, row: Row, names: Sequence[str], of_roof: bool) -> bool:
        here = of_roof or (self.machine is not None and row["machine_id"] == self.machine["id"])
        return here and any(name in row["typed"] or row[name] is not None for name in names)

    @cached_property
    def points(self) -> list[str]:
        """Where this machine's vibration was measured when it last was."""
        names = {point: f"vibration_{point}_mm_s" for point in VIBRATION_POINTS}
        row = self.last_read(*names.values())
        if row is None:
            return []
        return [p for p, name in names.items() if name in row["typed"] or row[name] is not None]

    def count_resets(self, since: date) -> int:
        """How often its breaker was reset from a day on."""
        return sum(
            row["kind"] == "breaker_reset" and row["ended_on"] >= since for row in self.events
        )


@dataclass(frozen=True)
class Advice:
    """Advice that still stands; ``needs_no_answer`` where the agreement leaves its cost to us."""

    row: Recommendation
    answer: str
    answered_on: date | None
    not_before: date | None
    needs_no_answer: bool

    @property
    def is_agreed(self) -> bool:
        return self.answer == Decision.Answer.GO_AHEAD

    @property
    def is_ours_to_do(self) -> bool:
        """Whether it may be done on the day: agreed to, or left to us and not refused."""
        return self.is_agreed or (self.needs_no_answer and not self.answer)


def check_of(row: Row) -> Check:
    """The row as a check, for whoever shows its readings."""
    return Check(**{name: row[name] for name in check_columns()})


def read_records(days: Mapping[int, date]) -> Mapping[int, Record]:
    """By fan id, everything a sheet tells; ``days`` are those on which somebody comes."""
    return records_of(read_truth(sorted(days)), days) if days else {}


def records_of(truth: Truth, days: Mapping[int, date]) -> Mapping[int, Record]:
    """The same from what has been read of these fans already."""
    dates = {row["fan_id"]: read_answer(row["dates"])[0] for row in truth.due}
    seen = evidence_of(((fan, told) for fan in dates for told in dates[fan]), behind=truth)
    advice, made_safe = _advice(truth, days), _made_safe(truth)
    return {
        fan["id"]: Record(
            day=days[fan["id"]],
            fan=fan,
            machines=truth.machines.get(fan["id"], ()),
            feed=feed_in_force(truth.feeds.get(fan["id"], []), days[fan["id"]]),
            checks=truth.checks.get(fan["id"], []),
            actions=truth.actions.get(fan["id"], []),
            notes=truth.findings.get(fan["id"], []),
            events=events_about(fan, truth.events_by_site.get(fan["site_id"], ())),
            findings=_standing(fan["id"], build),
            dates={told.rule: told for told in dates.get(fan["id"], ())},
            seen=seen.get(fan["id"], {}),
            advice=advice.get(fan["id"], ()),
            made_safe=made_safe.get(fan["id"]),
        )
        for fan, build in records_in(truth)
    }


def _standing(fan_id: int, build: Any) -> Sequence[Finding] | None:
    try:
        return standing_findings(build())
    except (ValueError, TypeError, AttributeError, ArithmeticError, LookupError):
        # such a record cannot be reckoned either, which its page says
        log.exception("the open findings of fan %s cannot be read", fan_id)
        return None


def _advice(truth: Truth, days: Mapping[int, date]) -> Mapping[int, Sequence[Advice]]:
    rows = standing_advice(
        Recommendation.objects.filter(fan__in=list(days)).prefetch_related("decisions")
    )
    agreements = agreements_of({row.fan.site.owner_id for row in rows})
    found: dict[int, list[Advice]] = defaultdict(list)
    for row in rows:
        limit = spending_limit(agreements.get(row.fan.site.owner_id, ()), days[row.fan_id])
        answer = _answer(row, truth.decisions.get(row.fan_id, ()))
        found[row.fan_id].append(Advice(row, *answer, is_left_to_us(row.cost, limit)))
    return found


def _answer(
    row: Recommendation, decisions: Collection[Row]
) -> tuple[str, date | None, date | None]:
    """What was answered, on which day, put off until when; to it, else to its subject since."""
    if row.answer:
        return row.answer.answer, row.answer.decided_on, row.answer.not_before
    told = [
        each
        for each in decisions
        if each["subject"] == row.subject
        and each["answer"] not in Decision.OPEN
        and each["decided_on"] >= row.visit.local_on
    ]
    return (told[-1]["answer"], told[-1]["decided_on"], None) if told else ("", None, None)


def _made_safe(truth: Truth) -> Mapping[int, MadeSafe]:
    """The newest record of each fan that is out of service."""
    out = [row["fan_id"] for row in truth.due if row["made_safe_on"]]
    rows = MadeSafe.objects.filter(~superseded("visit"), fan__in=out)
    return {row.fan_id: row for row in rows.order_by("visit__began_at", "pk")} if out else {}
