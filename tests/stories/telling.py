"""Puts one story on record through the imports and gives what its fans' lines say."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime

from schedules.demo.logins import make_people
from schedules.demo.records import Days
from schedules.demo.stories.story import Stage
from schedules.demo.write import fleet_csv, visits_jsonl
from schedules.due.answers import read_answer
from schedules.due.lines import lines_of, section_of
from schedules.due.local_days import days_at
from schedules.fan_page.gathering import read_fan_file
from schedules.fan_page.repeats import repeats_of
from schedules.models import DueState
from schedules.services import import_fleet_file, import_visit_file
from schedules.wording import notes_of, reason_text
from visits.judging import judgements_of
from visits.models import Check
from visits.wording import judgement_sentence

TODAY = date(2026, 6, 15)
NOW = datetime(2026, 6, 15, 17, tzinfo=UTC)


@dataclass(frozen=True)
class Line:
    """One fan's line of the due list; days count from today."""

    due: int
    rule: int
    overdue: int
    overdue_rule: int
    why: str
    sentence: str
    notes: tuple[str, ...]
    runners_up: dict[int, int]
    state: DueState


def tell(story: Callable[[Days], Stage]) -> dict[str, Line]:
    """The lines of a story's fans by tag, on Monday 15 June 2026."""
    stage = story(Days(TODAY))
    fleet = import_fleet_file(data=fleet_csv(stage.rows), name="fleet.csv", by=None, now=NOW)
    assert not fleet.refused, [str(said) for said in fleet.complaints]
    make_people(now=NOW)
    if stage.records:
        data = visits_jsonl(stage.records)
        visits = import_visit_file(data=data, name="visits.jsonl", by=None, now=NOW, here=True)
        assert not visits.refused, [str(said) for said in visits.complaints]
    return {state.fan.tag: line_of(state) for state in DueState.objects.select_related("fan")}


def line_of(state: DueState) -> Line:
    """What the due list says of a fan."""
    days = days_at(NOW, {state.site.time_zone})
    (shown,) = lines_of([(section_of(state, days), state)], days)
    dates, _ = read_answer(state.dates)
    assert shown.driving is not None
    assert state.due_on is not None
    assert state.overdue_after is not None
    assert state.due_rule is not None
    assert state.overdue_rule is not None
    return Line(
        due=(state.due_on - TODAY).days,
        rule=state.due_rule,
        overdue=(state.overdue_after - TODAY).days,
        overdue_rule=state.overdue_rule,
        why=shown.driving.why,
        sentence=reason_text(shown),
        notes=tuple(notes_of(shown)),
        runners_up={told.rule: told.due_day - TODAY.toordinal() for told in dates[1:]},
        state=state,
    )


def said_of(tag: str, quantity: str) -> list[str]:
    """Sentences about one quantity of a fan's checks as found, oldest first."""
    checks = list(Check.objects.filter(fan__tag=tag, stage="as_found").order_by("began_at"))
    judged = [found for judgements in judgements_of(checks) for found in judgements]
    wanted = [found for found in judged if found.subject == quantity]
    return [f"{found.verdict}: {judgement_sentence(found)}" for found in wanted]


def repeats_said(line: Line) -> tuple[str, ...]:
    """What the fan's page says came back within a year."""
    return repeats_of(read_fan_file(line.state.fan, NOW))
