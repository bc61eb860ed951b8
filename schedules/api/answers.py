"""What somebody hears who has logged something: verdicts, and each touched fan's new dates.

Of plain values only, so that a page and a phone can show the same.  What dates rest on is quoted
from the record they were reckoned from; where that failed, it is asked for again.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date

from django.conf import settings
from django.utils.translation import get_language, override

from fleet.models import Fan
from schedules.api.failures import tell_failure
from schedules.due.answers import read_answer
from schedules.due.evidence import VERDICT_NAMES, Evidence, Judged, evidence_of
from schedules.due.stops import Stop, stops_of
from schedules.due.truth import Truth
from schedules.engine.record import RULES, RuleDate
from schedules.fan_page.plate_reading import plate_read_texts
from schedules.models import DueState
from schedules.services import Logged
from schedules.wording import dateless_text, explain, fault_sentence, told_text, untold_sentence
from visits.api.told import Told, tell_cautions, tell_judged
from visits.api.whole import tell_fan
from visits.models import PlateReading
from visits.services import RecordedVisit

Names = Mapping[int, Told]
"""Fans as named everywhere, by id."""


def visit_answer(logged: Logged) -> Told:
    """What a visit means, check by check, and when its fans are due again."""
    recorded = logged.recorded
    assert isinstance(recorded, RecordedVisit)  # noqa: S101
    visit, names = recorded.visit, _names(logged)
    return {
        "id": str(visit.pk),
        "created": recorded.created,
        "superseded": recorded.superseded,
        "reckoned": logged.reckoned,
        "checks": [
            tell_judged(check, names[check.row.fan_id], visit.kind) for check in recorded.checks
        ],
        "cautions": tell_cautions(recorded.cautions),
        "due": tell_due(logged.due, names, _at_hand(recorded), logged.truth),
        "failures": [tell_failure(each, names[each.loss.fan_id]) for each in logged.failed],
        "letter": None,
        "plates": [],
    }


def tell_plate_read(row: PlateReading) -> Told:
    """A plate read on a visit: what became of it by field, and in sentences."""
    return {
        "fan": tell_fan(row.fan),
        "filled": row.filled,
        "differs": row.differs,
        "refused": row.refused,
        "sentences": plate_read_texts(row),
    }


def _at_hand(recorded: RecordedVisit) -> Iterator[Judged]:
    """What need not be read again to be quoted; a superseded visit is behind no date."""
    if not recorded.superseded:
        for check in recorded.checks:
            yield check.row.fan_id, recorded.visit.local_on, check.judgements


def other_answer(logged: Logged) -> Told:
    """What an event, an owner's answer or a closing moved."""
    recorded = logged.recorded
    assert not isinstance(recorded, RecordedVisit)  # noqa: S101
    return {
        "id": str(recorded.row.pk),
        "created": recorded.created,
        "reckoned": logged.reckoned,
        "due": tell_due(logged.due, _names(logged), truth=logged.truth),
    }


def answer(logged: Logged) -> Told:
    """The answer to whatever was logged."""
    is_visit = isinstance(logged.recorded, RecordedVisit)
    language = get_language()
    # English words are written in the code: looked up, each would be found in no catalogue.
    with override(None if language == settings.LANGUAGE_CODE else language):
        return visit_answer(logged) if is_visit else other_answer(logged)


def tell_due(
    states: Sequence[DueState],
    names: Names,
    at_hand: Iterable[Judged] = (),
    truth: Truth | None = None,
) -> list[Told]:
    """Each fan's dates by rule, the one that drives it first, the others as runners-up."""
    answers = {state.fan_id: read_answer(state.dates) for state in states}
    dates = [(fan_id, told) for fan_id, (each, _) in answers.items() for told in each]
    seen = evidence_of(dates, at_hand, truth)
    by_fan = {fan_id: dates for fan_id, (dates, _) in answers.items()}
    stops = stops_of(states, by_fan, seen, truth)
    return [
        {
            "fan": names[state.fan_id],
            **tell_dates(state, *answers[state.fan_id], seen.get(state.fan_id, {})),
            "stop": tell_stop(stops.get(state.fan_id)),
        }
        for state in states
    ]


def tell_dates(
    state: DueState,
    dates: Sequence[RuleDate],
    untold: Sequence[str],
    seen: Mapping[int, Evidence],
) -> Told:
    """One fan's dates; ``seen`` is what stands behind them, by rule."""
    told = [_tell_date(each, seen.get(each.rule)) for each in dates]
    return {
        "due_on": _iso(state.due_on),
        "due_rule": RULES[state.due_rule or 0],
        "overdue_after": _iso(state.overdue_after),
        "overdue_rule": RULES[state.overdue_rule or 0],
        "not_before": _iso(state.not_before),
        "worst_open": VERDICT_NAMES[state.worst_verdict] if state.worst_verdict > 1 else "",
        "sentence": told[0]["sentence"] if told else str(dateless_text(state)),
        "dates": told,
        "cannot_tell": [{"code": code, "sentence": str(untold_sentence(code))} for code in untold],
        "fault": str(fault_sentence(state.fault)) if state.fault else "",
        "is_current": state.revision == state.reckoned_revision and not state.fault,
    }


def tell_stop(stop: Stop | None) -> str:
    """The stop that stands, whatever date comes first; empty where there is none."""
    return str(told_text(stop.told, stop.seen)) if stop else ""


def _tell_date(told: RuleDate, seen: Evidence | None) -> Told:
    words = explain(told, seen)
    return {
        "rule": RULES[told.rule],
        "why": told.why,
        "due_on": date.fromordinal(told.due_day).isoformat(),
        "overdue_after": date.fromordinal(told.overdue_after_day).isoformat(),
        "name": str(words.name),
        "sentence": str(words.reason),
        "when": str(words.when),
        "basis": str(words.basis),
    }


def _iso(day: date | None) -> str | None:
    return day.isoformat() if day else None


def _names(logged: Logged) -> dict[int, Told]:
    """The fans that an answer speaks of."""
    wanted = {state.fan_id for state in logged.due}
    if isinstance(logged.recorded, RecordedVisit):
        wanted |= {check.row.fan_id for check in logged.recorded.checks}
    tags = {fan["id"]: fan["tag"] for fan in logged.truth.fans} if logged.truth else {}
    if not wanted <= tags.keys():
        tags = dict(Fan.objects.filter(pk__in=wanted).order_by().values_list("pk", "tag"))
    return {pk: {"id": pk, "tag": tag} for pk, tag in tags.items()}
