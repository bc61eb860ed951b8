"""The parts of an entry in words: findings, work, advice and answers, what was not reached."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from django.db.models import Model
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.models import Machine
from schedules.due.bought import is_left_to_us
from schedules.fan_page.advised import advised_before
from schedules.fan_page.driving import made_safe_text
from schedules.fan_page.gathering import FanFile
from schedules.fan_page.plate_reading import plate_read_texts
from schedules.wording import day_text, money_text
from schedules.wording.patterns import advised_text
from schedules.wording.seen import no_belt_here
from visits.models import (
    Action,
    Closing,
    Decision,
    Event,
    Finding,
    MadeSafe,
    NotReached,
    PlateReading,
    Recommendation,
    RunningTold,
    SystemInspection,
    Visit,
)
from visits.services.beltless import belt_named, had_no_belt
from visits.wording import (
    ANSWERS,
    CAUSES,
    FAILURE_MODES,
    ITEMS,
    MECHANISMS,
    PLACES,
    REASONS,
    RUNNING,
    SEVERITIES,
    VERDICTS,
    WORK,
    subject_words,
    words,
)
from visits.wording.names import upper_first


@dataclass(frozen=True)
class Line:
    """One thing of an entry under its term; ``mark`` and ``word`` where it carries a verdict."""

    term: str
    text: str
    mark: str = ""
    word: str = ""


TELLING: tuple[type[Model], ...] = (NotReached, Finding, Action, Recommendation)
"""What of a visit may name a part."""


def visit_lines(file: FanFile, visit: Visit) -> list[Line]:
    """Everything of a visit but its checks."""
    return [
        *map(_made_safe, file.part(MadeSafe, visit)),
        *map(_not_reached, file.part(NotReached, visit)),
        *(line for row in file.part(Finding, visit) for line in _finding(file, row)),
        *(_action(file, visit, row) for row in file.part(Action, visit)),
        *(_advice(file, row) for row in file.part(Recommendation, visit)),
        *_no_belt(file, visit),
        *map(decision_line, _without_advice(file, visit)),
        *map(_plate, file.part(PlateReading, visit)),
        *map(_inspection, file.part(SystemInspection, visit)),
    ]


def _no_belt(file: FanFile, visit: Visit) -> Iterator[Line]:
    """That parts were told of which this fan has none."""
    told = (row for kind in TELLING for row in file.part(kind, visit))
    if any(map(belt_named, told)) and had_no_belt(map(vars, file.machines), visit.local_on):
        yield Line(_("In doubt"), no_belt_here())


def _plate(row: PlateReading) -> Line:
    return Line(_("Plate read"), " ".join(plate_read_texts(row)))


def _without_advice(file: FanFile, visit: Visit) -> list[Decision]:
    """Answers of a visit that no advice on it shows."""
    return [row for row in file.part(Decision, visit) if row.recommendation_id is None]


def _sentence(parts: Iterable[str]) -> str:
    told = "; ".join(part.strip().rstrip(".") for part in parts if part and part.strip())
    return f"{upper_first(told)}." if told else ""


def _cause(row: Finding) -> str:
    if not row.cause:
        return _("cause not known")
    return _("cause {cause}").format(cause=words(CAUSES, row.cause))


def _finding(file: FanFile, row: Finding) -> Iterator[Line]:
    """The finding; a failure with the advice before it that led to nothing."""
    text = _sentence([
        words(ITEMS, row.item), words(FAILURE_MODES, row.failure_mode),
        words(MECHANISMS, row.mechanism),
        _cause(row),
        words(SEVERITIES, row.severity),
        _("loss of function") if row.loss_of_function else "",
        _("failed {day}").format(day=day_text(row.failed_on)) if row.failed_on else "",
        _("call-back: repaired within the 30 days before") if row.call_back else "",
        _("lasting: known, and no reason to return") if row.lasting else "",
        row.note,
        _("look again {day}").format(day=day_text(row.recheck_on)) if row.recheck_on else "",
        *(_closed(closing) for closing in row.closings.all()),
    ])  # fmt: skip
    yield Line(_("Finding"), text, row.verdict, words(VERDICTS, row.verdict))
    if advised := advised_before(file, row):
        yield Line(_("Advised"), advised_text(advised))


def _closed(row: Closing) -> str:
    return _("closed {day}: {reason}").format(day=day_text(row.closed_on), reason=row.reason)


def _action(file: FanFile, visit: Visit, row: Action) -> Line:
    done = f"{words(ITEMS, row.item)} {words(WORK, row.kind)}"
    new = [each for each in file.machines if is_replacement(row) and _came_on(each, visit)]
    return Line(_("Done"), _sentence([done, *map(_machine_text, new), row.part, row.note]))


def is_replacement(row: Action) -> bool:
    """Whether a machine came with this work; the visit's entry tells which."""
    return row.kind == "replaced" and row.item == "machine"


def _came_on(machine: Machine, visit: Visit) -> bool:
    return not machine.first_here and machine.installed_on == visit.local_on


def _advice(file: FanFile, row: Recommendation) -> Line:
    """Advice with every answer to it; until there is one, it says so, or that none is needed."""
    cost = _("{cost} quoted").format(cost=money_text(row.cost)) if row.cost is not None else ""
    told = [f"{upper_first(subject_words(row.subject))}: {row.text.strip()}", cost]
    counts = row.answer
    answers = [_answer(each, replaced=each.is_answer and each != counts) for each in row.answers]
    return Line(_("Advice"), _sentence([*told, *(answers or [_unanswered(file, row)])]))


def _unanswered(file: FanFile, row: Recommendation) -> str:
    limit = file.spending_limit
    if limit is None or not is_left_to_us(row.cost, limit):
        return _("no answer yet")
    return _("no answer needed: the agreement lets us spend {limit} without asking").format(
        limit=money_text(limit)
    )


def _answer(row: Decision, *, replaced: bool) -> str:
    told = _("answer of {day}: {answer}").format(
        day=day_text(row.decided_on), answer=words(ANSWERS, row.answer)
    )
    by = f" ({row.decided_by})" if row.decided_by else ""
    later = _("replaced by a later answer") if replaced else ""
    return ", ".join(filter(None, [f"{told}{by}", _quoted(row.note), later]))


def _quoted(note: str) -> str:
    text = note.strip().rstrip(".")
    return f"“{text}”" if text else ""


def decision_line(row: Decision) -> Line:
    """An answer given between visits, or on a visit without advice."""
    asked = row.recommendation.text.strip().rstrip(".") if row.recommendation else ""
    about = upper_first(subject_words(row.subject))
    later = _("not before {day}").format(day=day_text(row.not_before)) if row.not_before else ""
    by_link = _("by the owner's link") if row.link_id else ""
    replaced = _("replaced by a later answer") if row.is_replaced else ""
    answer = f"{about}: {words(ANSWERS, row.answer)}"
    text = _sentence([answer, later, by_link, _quoted(row.note), replaced])
    told = _("Asked was: {asked}.").format(asked=asked) if asked else ""
    return Line(_("Answer"), f"{text} {told}".strip())


def closing_line(row: Closing) -> Line:
    """A finding closed apart from any visit."""
    what = words(ITEMS, row.finding.item)
    return Line(_("Closed"), _sentence([f"{what}: {row.reason}"]))


def told_line(row: RunningTold) -> Line:
    """What a kitchen said, and what that is worth."""
    told = _("{answer}, as seen from the kitchen; no inspection").format(
        answer=words(RUNNING, row.answer)
    )
    return Line(_("Told"), _sentence([told]))


def machine_line(row: Machine) -> Line:
    """A machine that no visit on record brought; one still in place has its plate above."""
    return Line(_("Machine"), _sentence([_machine_text(row)]) or _("New."))


def _machine_text(row: Machine) -> str:
    what = [row.model, row.serial, f"{row.volts} V" if row.volts else "", row.supplied_by]
    return ", ".join(part for part in what if part)


def _not_reached(row: NotReached) -> Line:
    what = words(ITEMS, row.item) if row.item else _("the fan")
    return Line(_("Not reached"), _sentence([what, words(REASONS, row.reason), row.note]))


def _made_safe(row: MadeSafe) -> Line:
    return Line(_("Out of service"), made_safe_text(row))


def _inspection(row: SystemInspection) -> Line:
    by = (
        _("by a person qualified for it")
        if row.qualified
        else _("by a person not recorded as qualified: it settles nothing")
    )
    left = row.areas_not_cleaned.strip()
    not_cleaned = _("not cleaned: {areas}").format(areas=left) if left else ""
    return Line(_("Inspection"), _sentence([by, not_cleaned]))


def event_lines(file: FanFile, event: Event) -> list[Line]:
    """What an event says of this fan."""
    return [Line(term, text) for term, text in _event_parts(file, event) if text]


def _event_parts(file: FanFile, event: Event) -> Iterator[tuple[str, str]]:
    if event.started_on != event.ended_on:
        yield _("Began"), day_text(event.started_on)
    if event.kind == "hood_cleaning":
        yield _("Cleaned"), _places(event.places_cleaned)
        yield _("Not cleaned"), _places(event.places_not_cleaned)
        yield _("Wheel"), _("cleaned") if event.wheel_cleaned else ""
        yield _("This fan"), _("tipped") if event.pk in file.tipped_at else ""
    if event.resets:
        yield (
            _("Breaker"),
            ngettext("reset once", "reset {count} times", event.resets).format(count=event.resets),
        )
    if event.running_on:
        yield _("Kitchen said"), _("running on {day}").format(day=day_text(event.running_on))


def _places(places: Any) -> str:
    return ", ".join(words(PLACES, place) for place in places)
