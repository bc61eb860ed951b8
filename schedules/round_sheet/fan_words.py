"""One fan of a sheet in words: what is due, its past in three lines, readings with limits."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.quantities import QUANTITIES
from schedules.engine.codes import STOP
from schedules.engine.findings import Finding
from schedules.engine.record import RuleDate
from schedules.fan_page.driving import made_safe_text
from schedules.fan_page.plate import CONTROLS, MOTOR_TYPES
from schedules.fan_page.readings import UNJUDGED_WORDS
from schedules.fan_page.typed import reading_of
from schedules.round_sheet.fan_file import FanFile
from schedules.round_sheet.past_words import looks_text, open_text, troubles_text
from schedules.round_sheet.records import Record, check_of
from schedules.round_sheet.taking import is_live
from schedules.wording import day_text, short_day, told_text
from schedules.wording.rules import finding_name
from visits.limits import Ahead
from visits.wording import PLACES, subject_words, words
from visits.wording.ahead import limits_note, limits_text, short_basis
from visits.wording.names import Words, upper_first

DRIVES: Words = {"belt": gettext_lazy("belt drive"), "direct": gettext_lazy("direct drive")}
UNBALANCE_OF = {"volts_unbalance": "volts", "amps_unbalance": "amps"}
BESIDE = {of: name for name, of in UNBALANCE_OF.items()}


@dataclass(frozen=True)
class ReadingLine:
    """One reading to take: by what it is judged, what it was last, room for today's."""

    name: str
    limits: str
    notes: list[str]
    last: str
    is_live: bool


@dataclass(frozen=True)
class FanSheet:
    """One fan in words; ``past`` are three terms with their lines."""

    pk: int
    tag: str
    place: str
    machine: str
    stops: list[str]
    made_safe: str
    due: list[str]
    past: list[tuple[str, str]]
    readings: list[ReadingLine]
    live: list[ReadingLine]
    left_to_others: str
    look_at: list[str]


def fan_sheet(file: FanFile) -> FanSheet:
    """The fan as its round's sheet tells it."""
    record, lines = file.record, [*_readings(file), *_notes(file)]
    return FanSheet(
        pk=file.fan.pk,
        tag=file.fan.tag,
        place=file.fan.place,
        machine=_machine(record),
        stops=[_stop(each) for each in record.open if _is_hidden_stop(each, file.dates)],
        made_safe=made_safe_text(record.made_safe) if record.made_safe else "",
        due=[_due(file, told) for told in file.dates],
        past=[(_("Looks"), looks_text(record)), (_("Troubles"), troubles_text(record)),
              (_("Open"), open_text(record))],
        readings=[each for each in lines if not each.is_live],
        live=[each for each in lines if each.is_live],
        left_to_others=_left_to_others(file.left_to_others),
        look_at=[subject_words(entry) for entry in file.look_at],
    )  # fmt: skip


def _machine(record: Record) -> str:
    """``belt drive, three-phase; speed control: drive``."""
    if record.machine is None:
        return _("no machine on record")
    plate, control = record.plate, record.feed.control
    told = [words(DRIVES, plate.drive), words(MOTOR_TYPES, plate.motor_type)]
    if control != "none":
        told.append(_("speed control: {control}").format(control=words(CONTROLS, control)))
    return ", ".join(filter(None, told))


def _is_hidden_stop(finding: Finding, dates: Sequence[RuleDate]) -> bool:
    """Whether it is a stop of which no due line speaks."""
    told = [each for each in dates if each.args.get("verdict") == STOP]
    named = [finding_name(each).lower() for each in told]
    return finding.verdict == STOP and subject_words(finding.subject).lower() not in named


def _stop(finding: Finding) -> str:
    told = _("Must not run: {subject}, found {day}; repair it or make the fan safe.")
    if finding.temporary_day:
        told = _("{subject}, found {day}: repaired for the time being, a lasting repair is owed.")
    subject = subject_words(finding.subject)
    return upper_first(told.format(subject=subject, day=day_text(finding.seen_day)))


def _due(file: FanFile, told: RuleDate) -> str:
    """Why, and by when: counted to the day of the round."""
    sentence = told_text(told, file.record.seen.get(told.rule))
    if told.overdue_after_day < file.record.day.toordinal():
        when = _("Was due {day}, overdue since.")
    else:
        when = _("Due {day}.")
    day = short_day(date.fromordinal(told.due_day), file.record.day)
    return f"{sentence} {when.format(day=day)}"


def _readings(file: FanFile) -> Iterator[ReadingLine]:
    """Points and places of one limit stand in one line, unbalance beside what it is told from."""
    told = {each.subject: each for each in file.ahead}
    groups: dict[tuple[str, str], list[Ahead]] = {}
    for each in file.ahead:
        if UNBALANCE_OF.get(each.subject) not in told:
            family = each.subject.partition("_")[0] if _has_place(each) else each.subject
            groups.setdefault((family, limits_text(each)), []).append(each)
    for (family, limits), group in groups.items():
        first = group[0]
        yield ReadingLine(
            name=_name(family, group),
            limits=limits,
            notes=[*filter(None, [limits_note(first), short_basis(first)]),
                   *(_unbalance(told[name]) for name in [BESIDE.get(family)] if name in told)],
            last=_last(file.record, group),
            is_live=is_live(first.quantities),
        )  # fmt: skip


def _unbalance(ahead: Ahead) -> str:
    told = _("unbalance {limits}, {basis}")
    return told.format(limits=limits_text(ahead), basis=short_basis(ahead))


def _has_place(ahead: Ahead) -> bool:
    return QUANTITIES[ahead.quantities[0]].rule in ("vibration", "grease")


def _name(family: str, group: Sequence[Ahead]) -> str:
    if not _has_place(group[0]):
        return upper_first(subject_words(family))
    places = ", ".join(words(PLACES, each.subject.removeprefix(f"{family}_")) for each in group)
    return f"{upper_first(subject_words(family))}: {places}"


def _last(record: Record, group: Sequence[Ahead]) -> str:
    """The newest readings as typed, and their day: ``3.1 mm/s; 2.2 mm/s (Tue 1 Sep 2026)``."""
    told: dict[date, list[str]] = {}
    for each in group:
        names = each.quantities if _has_place(each) else each.quantities[:1]
        if row := record.last_read(*names):
            check = check_of(row)
            name = next(name for name in names if name in row["typed"] or row[name] is not None)
            text = reading_of(check, name)
            told.setdefault(row["visit__local_on"], []).append(text)
    return "; ".join(
        f"{', '.join(texts)} ({short_day(on, record.day)})" for on, texts in told.items()
    )


def _notes(file: FanFile) -> Iterator[ReadingLine]:
    for name in file.to_note:
        row, last = file.record.last_read(name), ""
        if row:
            on = short_day(row["visit__local_on"], file.record.day)
            last = f"{reading_of(check_of(row), name)} ({on})"
        term = upper_first(words(UNJUDGED_WORDS, name))
        yield ReadingLine(term, _("no limit; dates go by it"), [], last, is_live=False)


def _left_to_others(ahead: Iterable[Ahead]) -> str:
    names = ", ".join(dict.fromkeys(subject_words(each.subject) for each in ahead))
    if not names:
        return ""
    return _("Left to somebody recorded as qualified for work on live parts: {names}.").format(
        names=names
    )
