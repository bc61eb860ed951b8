"""One fan of a round: what brings somebody there, what to read by which limits, what to bring."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from fleet.models import Fan
from fleet.quantities import QUANTITIES, Verdict
from schedules.engine import hours, walk_through
from schedules.engine.codes import ACT, STOP, WATCH
from schedules.engine.record import RuleDate
from schedules.models import StopFan
from schedules.round_sheet.parts import Guess, Reason, guess_parts
from schedules.round_sheet.records import Record
from schedules.round_sheet.taking import HOUR_METER, Coming, is_live, to_look_at, to_note, to_read
from schedules.rounds.storing import rule_date_of
from visits.judging import readings_of
from visits.limits import SUBJECTS_AHEAD, Ahead, Context, Reading, look_ahead

VOLTS = ("volts_ab_v", "volts_bc_v", "volts_ca_v")
SPAN = ("belt_span_mm",)
VERDICTS: Mapping[int, Verdict] = {WATCH: "watch", ACT: "act", STOP: "stop"}


@dataclass(frozen=True)
class FanFile:
    """One fan at a stop; ``planned`` is its work, ``is_qualified`` of who goes, for live parts.

    ``asked`` are the dates that somebody comes for where nothing is planned.
    """

    fan: Fan
    planned: Sequence[StopFan]
    record: Record
    is_qualified: bool
    asked: Sequence[RuleDate] = ()

    @cached_property
    def dates(self) -> list[RuleDate]:
        """What the planned rules ask for: as reckoned now, else as it was when planned."""
        found: dict[int, RuleDate] = {told.rule: told for told in self.asked}
        for row in self.planned:
            told = rule_date_of(row)
            for number in row.rules:
                now = self.record.dates.get(number)
                as_planned = told if told and told.rule == number else None
                if each := now or as_planned:
                    found[number] = each
        return sorted(found.values(), key=lambda each: (each.due_day, each.rule))

    @cached_property
    def coming(self) -> Coming:
        record = self.record
        return Coming(
            dates=self.dates,
            open_subjects=[each.subject for each in record.open],
            is_belt_driven=record.is_belt_driven,
            points=record.points,
            has_hour_meter=record.last_read(HOUR_METER) is not None,
        )

    @property
    def look_at(self) -> list[str]:
        return to_look_at(self.coming)

    @cached_property
    def all_ahead(self) -> list[Ahead]:
        """Every reading asked for, with its limits, whoever may take it."""
        return look_ahead(
            to_read(self.coming),
            plate=self.record.plate,
            feed=self.record.feed,
            known=_known(self.record),
            context=_context(self.record),
            units=_units(self.record),
        )

    @property
    def ahead(self) -> list[Ahead]:
        """Those for who goes: live parts are left to somebody recorded as qualified."""
        return [
            each for each in self.all_ahead if self.is_qualified or not is_live(each.quantities)
        ]

    @property
    def to_note(self) -> list[str]:
        return to_note(self.coming)

    @property
    def left_to_others(self) -> list[Ahead]:
        """Readings on live parts that are owed, but not by whoever goes; no walk owes them."""
        owed = [told for told in self.dates if told.rule != walk_through.number]
        subjects = to_read(replace(self.coming, dates=owed))
        mine = self.ahead
        return [each for each in self.all_ahead if each.subject in subjects and each not in mine]

    @cached_property
    def parts(self) -> list[Guess]:
        return guess_parts(self.record.plate, self.record.feed, self._reasons())

    def _reasons(self) -> Iterator[Reason]:
        for found in self.record.open:
            yield Reason("finding", found.subject, VERDICTS[found.verdict], found.seen_day)
        for advice in self.record.advice:
            if advice.is_ours_to_do:
                day = advice.answered_on.toordinal() if advice.answered_on else 0
                yield Reason("agreed", advice.row.subject, day=day)
        if any(told.rule == hours.number for told in self.dates):
            yield Reason("due", "regreasing")


def _known(record: Record) -> Mapping[str, Reading]:
    """Earlier readings that limits hang on: volts name the end of a range, the span the belt."""
    found: dict[str, Reading] = {}
    for names in (VOLTS, SPAN):
        if row := record.last_read(*names):
            told = readings_of(row)
            found |= {name: told[name] for name in names if name in told}
    return found


def _context(record: Record) -> Context:
    """Meters as they were used last: the next reading is compared with that one."""
    points = [f"vibration_{point}_mm_s" for point in record.points]
    shaken = record.last_read(*points) if points else None
    poles = record.last_read("pole_1_ohm", "pole_2_ohm", "pole_3_ohm")
    return Context(
        vibration_detector=(shaken and shaken["vibration_detector"]) or "",
        pole_meter=(poles and poles["pole_meter"]) or "",
    )


def _units(record: Record) -> Mapping[str, str]:
    """By quantity the unit in which it was last typed here."""
    found: dict[str, str] = {}
    for row in record.checks:
        found |= {
            name: told["unit"] for name, told in row["typed"].items() if told.get("unit")
        }  # fmt: skip
    # every point in the unit of the last one read
    shaken = [unit for name, unit in found.items() if QUANTITIES[name].rule == "vibration"]
    if shaken:
        points = (names[0] for subject, (names, _) in SUBJECTS_AHEAD.items() if _is_point(subject))
        found |= {name: found.get(name, shaken[-1]) for name in points}
    return found


def _is_point(subject: str) -> bool:
    return subject.startswith("vibration_")
