"""Stops that stand: what is said of a fan that must not run, whatever day its line names first."""

from __future__ import annotations

import logging
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from schedules.due.evidence import Evidence, Found, evidence_of
from schedules.due.records import records_in
from schedules.due.truth import Truth, read_truth
from schedules.engine import follow_up
from schedules.engine.codes import STOP, subject_code
from schedules.engine.findings import standing_findings
from schedules.engine.record import FanRecord, RuleDate
from schedules.models import DueState

log = logging.getLogger(__name__)
Dates = Mapping[int, Sequence[RuleDate]]
PATCHED = "temporary"


@dataclass(frozen=True)
class Stop:
    """A stop as a rule's date, with the reading or note behind it where one was found."""

    told: RuleDate
    seen: Evidence | None

    @property
    def is_patched(self) -> bool:
        """Repaired for the time being: the fan runs again, and a lasting repair is owed."""
        return _is_patched(self.told)


Stops = dict[int, Stop]


def stops_of(
    states: Sequence[DueState], dates: Dates, known: Found, truth: Truth | None = None
) -> Stops:
    """By fan id, the first stop of each of these fans that has one; patched ones come last.

    ``known`` is the evidence of ``dates``, those that are a stop among them; ``truth`` what is on
    record of these fans, where somebody has read it.
    """
    stopped = [state.fan_id for state in states if state.worst_verdict == STOP]
    told = {fan_id: stop for fan_id in stopped if (stop := _dated(dates.get(fan_id, ())))}
    stops = {fan_id: Stop(stop, _behind(known, fan_id, stop)) for fan_id, stop in told.items()}
    rest = {fan_id for fan_id in stopped if fan_id not in told or stops[fan_id].is_patched}
    if not rest:
        return stops
    truth = truth or read_truth(sorted(rest))
    undated = _undated(rest, truth)
    behind = evidence_of(undated.items(), behind=truth)
    return stops | {
        fan_id: Stop(stop, _behind(behind, fan_id, stop)) for fan_id, stop in undated.items()
    }


def _behind(found: Found, fan_id: int, stop: RuleDate) -> Evidence | None:
    return found.get(fan_id, {}).get(stop.rule)


def is_stop(told: RuleDate) -> bool:
    """Whether a rule's own answer is a stop."""
    return told.args.get("verdict") == STOP


def _is_patched(told: RuleDate) -> bool:
    return told.rule == follow_up.number and told.why == PATCHED


def _dated(dates: Sequence[RuleDate]) -> RuleDate | None:
    return min(filter(is_stop, dates), key=_is_patched, default=None)


def _undated(fan_ids: Collection[int], truth: Truth) -> dict[int, RuleDate]:
    """Stops that another finding of the same rule keeps out of its answer."""
    found: dict[int, RuleDate] = {}
    for fan, build in records_in(truth):
        if fan["id"] not in fan_ids:
            continue
        try:
            if stop := _standing_stop(build()):
                found[fan["id"]] = stop
        except (ValueError, TypeError, AttributeError, ArithmeticError, LookupError):
            # such a record cannot be reckoned either, which its line says
            log.exception("the stop of fan %s cannot be read", fan["id"])
    return found


def _standing_stop(record: FanRecord) -> RuleDate | None:
    """The first stop that stands, as rule 6 dates a finding."""
    stops = (finding for finding in standing_findings(record) if finding.verdict == STOP)
    first = min(stops, key=lambda each: (bool(each.temporary_day), each.seen_day), default=None)
    if first is None:
        return None
    args = {
        "subject": subject_code(first.subject), "verdict": STOP, "seen_day": first.seen_day,
    }  # fmt: skip
    why = PATCHED if first.temporary_day else "open"
    return RuleDate(follow_up.number, first.seen_day, first.seen_day, why, args)
