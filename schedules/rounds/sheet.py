"""A version as a sheet for whoever reads it: rounds, what is left out, overload, in plain words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from itertools import groupby
from typing import Any

from fleet.models import Blocker, Person, Site
from schedules.due.evidence import Found, evidence_of
from schedules.models import LeftOutFan, PlannedRound, PlannedStop, PlanVersion, StopFan
from schedules.rounds.blockers import blockers_of
from schedules.rounds.qualified import skills_lacking, skills_needed
from schedules.rounds.storing import rounds_of, rule_date_of
from schedules.wording.bookings import technician_name
from schedules.wording.rounds import blocker_text, broken_text, left_out_text, why_text
from schedules.wording.rules import rule_name
from schedules.wording.seen import told_text


@dataclass(frozen=True)
class StopLine:
    """A stop: why it is in this week, and its fans with what each is due for."""

    row: PlannedStop
    fans: Sequence[FanLine]
    seen: Found
    skills: Sequence[str] = ()
    """Qualifications that it needs."""

    @property
    def waiting_minutes(self) -> int:
        """Time spent there that is neither access nor work."""
        return self.row.leave_minute - self.row.arrive_minute - self.row.work_minutes

    @property
    def due(self) -> list[FanLine]:
        """Fans due by the end of the week."""
        return [each for each in self.fans if not self._is_early(each)]

    @property
    def forward(self) -> list[FanLine]:
        """Fans due soon after it, taken along."""
        return [each for each in self.fans if self._is_early(each)]

    @staticmethod
    def _is_early(line: FanLine) -> bool:
        return isinstance(line.row, StopFan) and line.row.pulled_forward

    @property
    def reason(self) -> str:
        """Why this week: the fan that made it necessary, by its rule."""
        driver = driver_of(self.row)
        told = rule_date_of(driver) if driver else None
        if driver is None or told is None:
            return why_text(self._why)
        sentence = told_text(told, self.seen.get(driver.fan_id, {}).get(told.rule))
        return f"{why_text(self._why)}. {driver.fan.tag}: {sentence}"

    @property
    def _why(self) -> str:
        """The engine's word, unless hands have since made coming dearer than waiting."""
        is_dear = round(self.row.detour_cost) > round(self.row.prize)
        return "by_hand" if self.row.why == "worth_it" and is_dear else self.row.why

    @property
    def breaks(self) -> list[str]:
        """What it breaks, with the qualifications that whoever goes has not."""
        return [broken_text(code, self.lacking) for code in self.row.broken]

    @property
    def lacking(self) -> list[str]:
        """Qualifications that whoever goes has not."""
        return skills_lacking(self.row.round, self.skills)


@dataclass(frozen=True)
class FanLine:
    """A fan's work, by the names of the rules that ask for it."""

    row: StopFan | LeftOutFan

    @property
    def rules(self) -> list[str]:
        return [rule_name(number) for number in self.row.rules]


@dataclass(frozen=True)
class LeftLine:
    """Fans of one site left out for one reason."""

    site: Site
    reason: str
    required: bool
    args: Mapping[str, Any]
    fans: Sequence[FanLine]
    blockers: Sequence[Blocker] = ()

    @property
    def text(self) -> str:
        """The reason in words, with what is known of the blockers."""
        notes = [blocker_text(each) for each in self.blockers]
        return "; ".join([left_out_text(self.reason, self.args), *filter(None, notes)])


@dataclass(frozen=True)
class CureLine:
    """What would make room: a technician-day more, or overtime, and the sites it serves."""

    technician: Person | None
    day: date
    minutes: int | None
    sites: Sequence[Site]


@dataclass(frozen=True)
class WeekSheet:
    """All of a version, read in a number of queries that does not grow."""

    version: PlanVersion

    @cached_property
    def rounds(self) -> list[PlannedRound]:
        return rounds_of(self.version)

    def stops_of(self, row: PlannedRound) -> list[StopLine]:
        """A round's stops in order."""
        return [
            StopLine(
                stop,
                list(map(FanLine, stop.fans.all())),
                self._seen,
                skills_needed(stop, self._blockers, self.version.plan.monday),
            )
            for stop in row.stops.all()
        ]

    @cached_property
    def _seen(self) -> Found:
        """What stands behind the dates that make stops necessary, read at once."""
        drivers = [driver_of(stop) for row in self.rounds for stop in row.stops.all()]
        told = ((row.fan_id, rule_date_of(row)) for row in drivers if row)
        return evidence_of([(fan, date) for fan, date in told if date])

    @cached_property
    def left_out(self) -> list[LeftLine]:
        """By site and reason, required ones first."""
        rows = self.version.left_out.select_related("fan__site__owner")
        ordered = sorted(rows, key=_left_order)
        groups = [list(group) for _, group in groupby(ordered, key=_left_order)]
        return [self._left_line(group) for group in groups]

    def _left_line(self, group: list[LeftOutFan]) -> LeftLine:
        first, fans = group[0], {row.fan_id for row in group}
        standing = [
            each
            for each in self._blockers
            if first.reason == "blocked"
            and each.cleared_on != self.version.plan.monday
            and each.site_id == first.fan.site_id
            and each.fan_id in (None, *fans)
        ]
        lines = list(map(FanLine, group))
        return LeftLine(first.fan.site, first.reason, first.required, first.args, lines, standing)

    @cached_property
    def _blockers(self) -> Sequence[Blocker]:
        """Those that hold on a day of the week, or end on its first."""
        days = self.version.plan.days
        return blockers_of(days[0] - timedelta(days=1), days[-1])

    @property
    def overload(self) -> Mapping[str, Any]:
        return self.version.overload

    @cached_property
    def cures(self) -> list[CureLine]:
        """Extra technician-days first, then overtime."""
        told, sites = self.overload, self._overloaded
        people = Person.objects.in_bulk({_who(each) for each in _cures(told)})
        return [
            CureLine(
                people.get(_who(each)),
                date.fromordinal(each.get("like_day", each.get("day"))),
                each.get("minutes"),
                [sites[key] for key in each["sites"] if key in sites],
            )
            for each in _cures(told)
        ]

    def overloaded(self, name: str) -> list[Site]:
        """Sites that the overload lists under this name."""
        keys = self.overload.get(name, ())
        return [self._overloaded[key] for key in keys if key in self._overloaded]

    @cached_property
    def _overloaded(self) -> Mapping[int, Site]:
        """All sites of the overload and its cures, which serve no others."""
        return Site.objects.in_bulk({*self.overload["sites"], *self.overload["late"]})


def past_shift_minutes(row: PlannedRound) -> int:
    """How long after the end of their hours somebody is back, by the hours they have now."""
    if not hasattr(row.technician, "working_week"):
        return 0
    hours = row.technician.working_week.hours[row.day.weekday()]
    return max(0, row.back_minute - hours[-1][1]) if hours else 0


def is_late(row: PlannedRound) -> bool:
    """Whether somebody is back later than the overtime that the register allows them has it."""
    week = getattr(row.technician, "working_week", None)
    return past_shift_minutes(row) > (week.overtime_minutes if week else 0)


def driver_of(stop: PlannedStop) -> StopFan | None:
    """The fan that made a stop necessary; None where somebody was booked for something else."""
    return next((work for work in stop.fans.all() if work.made_necessary), None)


def _cures(told: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    return [*told.get("days", ()), *told.get("overtime", ())]


def _who(each: Mapping[str, Any]) -> int:
    return int(each.get("like_technician", each.get("technician", 0)))


def _left_order(row: LeftOutFan) -> tuple[Any, ...]:
    return not row.required, row.fan.site.name, row.reason, str(row.args)


def as_json(sheet: WeekSheet) -> dict[str, Any]:
    """The sheet for programs: minutes of the day by the office's clock, money without currency."""
    version = sheet.version
    return {
        "week": str(version.plan),
        "version": version.number or None,
        "revision": version.plan.revision,
        "figures": version.figures,
        "rounds": [round_json(sheet, row) for row in sheet.rounds],
        "left_out": [left_json(line) for line in sheet.left_out],
        "overload": version.overload or None,
    }


def round_json(sheet: WeekSheet, row: PlannedRound) -> dict[str, Any]:
    """A round with its stops."""
    return {
        "technician": {"id": row.technician_id, "name": technician_name(row.technician)},
        "day": row.day.isoformat(),
        "leave_minute": row.leave_minute,
        "back_minute": row.back_minute,
        "travel_minutes": row.travel_minutes,
        "travel_km": round(row.travel_m / 1000, 1),
        "overtime_minutes": row.overtime_minutes,
        "past_shift_minutes": past_shift_minutes(row),
        "free_minutes": row.free_minutes,
        "cost": row.cost,
        "published": row.published,
        "broken": row.broken,
        "stops": [_stop_json(line) for line in sheet.stops_of(row)],
    }


def _stop_json(line: StopLine) -> dict[str, Any]:
    row = line.row
    return {
        "id": str(row.key),
        "site": {"id": row.site_id, "name": row.site.name},
        "arrive_minute": row.arrive_minute,
        "start_minute": row.start_minute,
        "leave_minute": row.leave_minute,
        "waiting_minutes": line.waiting_minutes,
        "travel_minutes": row.travel_minutes,
        "travel_km": round(row.travel_m / 1000, 1),
        "coming_cost": row.detour_cost,
        "waiting_cost": row.prize,
        "why": row.why,
        "reason": line.reason,
        "pinned": row.pinned,
        "booking": str(row.booking_id) if row.booking_id else None,
        "broken": row.broken,
        "skills": list(line.skills),
        "skills_lacking": line.lacking,
        "fans": [
            {**_fan_json(each), "pulled_forward": each.row.pulled_forward}  # type: ignore[union-attr]  # a stop's
            for each in line.fans
        ],
    }


def left_json(line: LeftLine) -> dict[str, Any]:
    """Fans of one site left out, with why."""
    return {
        "site": {"id": line.site.pk, "name": line.site.name},
        "reason": line.reason,
        "text": line.text,
        "required": line.required,
        **line.args,
        "fans": [_fan_json(each) for each in line.fans],
    }


def _fan_json(line: FanLine) -> dict[str, Any]:
    return {
        "id": line.row.fan_id, "tag": line.row.fan.tag, "skill": line.row.skill or None,
        "rules": list(line.row.rules),
    }  # fmt: skip


def by_day(rounds: Sequence[PlannedRound]) -> Iterator[tuple[date, list[PlannedRound]]]:
    """Rounds by day."""
    for day, group in groupby(rounds, key=lambda row: row.day):
        yield day, list(group)
