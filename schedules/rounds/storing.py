"""A week's versions in the tables: the draft read and written, a published one copied from it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.db.models import Prefetch, QuerySet

from schedules.engine.record import RuleDate
from schedules.models import (
    LeftOutFan,
    PlannedRound,
    PlannedStop,
    PlanVersion,
    StopFan,
)
from schedules.rounds.layout import LaidRound, LaidStop, Layout
from schedules.rounds.timed import TimedRound, TimedStop
from schedules.rounds.work import Wanted, Work


@dataclass(frozen=True)
class Left:
    """Work left out: the code of why, and what that rests on by name."""

    work: Work
    reason: str
    required: bool
    args: Mapping[str, Any] = field(default_factory=dict)


def rounds_of(version: PlanVersion, **which: Any) -> list[PlannedRound]:
    """A version's rounds, or some of them, with all that is told of them; three queries."""
    fans = Prefetch("fans", StopFan.objects.select_related("fan"))
    stops = PlannedStop.objects.select_related(
        "site__owner", "booking__changed_by"
    ).prefetch_related(fans)
    rows: QuerySet[PlannedRound] = version.rounds.filter(**which).select_related(
        "technician__working_week"
    )
    return list(rows.prefetch_related(Prefetch("stops", stops)))


def layout_of(version: PlanVersion) -> Layout:
    """A version without its times; three queries."""
    rows = version.rounds.prefetch_related("stops__fans")
    return Layout.of(
        LaidRound(
            row.technician_id, row.day, tuple(map(_laid_stop, row.stops.all())), row.published
        )
        for row in rows
    )


def _laid_stop(row: PlannedStop) -> LaidStop:
    return LaidStop(
        key=row.key,
        site=row.site_id,
        works=tuple((work.fan_id, work.skill) for work in row.fans.all()),
        pinned=row.pinned,
        booking=row.booking_id,
        booking_seen=row.booking_seen,
        keeps_hours=row.keeps_hours,
        extra_minutes=row.extra_minutes,
    )


def write_rounds(
    version: PlanVersion,
    rounds: Sequence[TimedRound],
    works: Mapping[Wanted, Work],
    days: Collection[date],
) -> None:
    """Put these rounds in the place of the version's on those days."""
    version.rounds.filter(day__in=days).delete()
    rows = PlannedRound.objects.bulk_create(_round_row(version, each) for each in rounds)
    stops: list[PlannedStop] = []
    told: list[TimedStop] = []
    for row, each in zip(rows, rounds, strict=True):
        stops += [_stop_row(row, at, stop) for at, stop in enumerate(each.stops, 1)]
        told += each.stops
    PlannedStop.objects.bulk_create(stops)
    StopFan.objects.bulk_create(
        row for stop, each in zip(stops, told, strict=True) for row in _fan_rows(stop, each, works)
    )


def write_left_out(version: PlanVersion, left: Iterable[Left]) -> None:
    """Put these in the place of all that the version left out."""
    version.left_out.all().delete()
    LeftOutFan.objects.bulk_create(
        LeftOutFan(
            version=version,
            **work_columns(each.work),
            reason=each.reason,
            required=each.required,
            args=dict(each.args),
        )
        for each in left
    )


def copy_version(source: PlanVersion, target: PlanVersion) -> None:
    """All that ``source`` holds, once more under ``target``, which holds nothing."""
    rounds = list(source.rounds.prefetch_related("stops__fans"))
    new_rounds = PlannedRound.objects.bulk_create(_anew(row, version=target) for row in rounds)
    pairs = [
        (stop, _anew(stop, round=new))
        for row, new in zip(rounds, new_rounds, strict=True)
        for stop in row.stops.all()
    ]
    PlannedStop.objects.bulk_create([new for _, new in pairs])
    StopFan.objects.bulk_create(
        [_anew(work, stop=new) for stop, new in pairs for work in stop.fans.all()]
    )
    LeftOutFan.objects.bulk_create([_anew(row, version=target) for row in source.left_out.all()])


def _anew(row: Any, **changed: Any) -> Any:
    kept = {f.attname: getattr(row, f.attname) for f in row._meta.concrete_fields}
    for name in ("id", *(f"{name}_id" for name in changed)):
        del kept[name]
    return type(row)(**kept, **changed)


def work_columns(work: Work) -> dict[str, Any]:
    """The columns of ``FanWork``."""
    told = work.told[0]
    args = {
        "why": told.why, "due_day": told.due_day, "overdue_after_day": told.overdue_after_day,
        "numbers": dict(told.args),
    }  # fmt: skip
    return {
        "fan_id": work.fan, "skill": work.skill, "rules": list(work.rules), "rule_args": args,
    }  # fmt: skip


def rule_date_of(row: StopFan | LeftOutFan) -> RuleDate | None:
    """The date that asks for a fan's work, as it was when planned."""
    if not row.rules:
        return None
    args = row.rule_args
    return RuleDate(
        row.rules[0], args["due_day"], args["overdue_after_day"], args["why"], args["numbers"]
    )


def _round_row(version: PlanVersion, each: TimedRound) -> PlannedRound:
    told = each.told
    return PlannedRound(
        version=version,
        technician_id=each.laid.technician,
        day=each.laid.day,
        leave_minute=max(0, told.leave),
        back_minute=told.back,
        travel_minutes=told.travel_minutes,
        travel_m=told.travel_m,
        overtime_minutes=told.overtime_minutes,
        free_minutes=told.free_minutes,
        cost=told.cost,
        published=each.laid.published,
        broken=[str(code) for code in told.broken],
    )


def _stop_row(row: PlannedRound, position: int, each: TimedStop) -> PlannedStop:
    first, last, laid = each.told[0], each.told[-1], each.laid
    return PlannedStop(
        round=row,
        key=laid.key,
        site_id=laid.site,
        position=position,
        arrive_minute=max(0, first.arrive),
        start_minute=max(0, first.start),
        leave_minute=last.leave,
        work_minutes=sum(told.leave - told.start for told in each.told),
        travel_minutes=sum(told.travel_minutes for told in each.told),
        travel_m=sum(told.travel_m for told in each.told),
        why=str(each.why),
        pinned=laid.pinned,
        prize=sum(told.prize for told in each.told),
        detour_cost=first.detour_cost,
        broken=each.broken,
        booking_id=laid.booking,
        booking_seen=laid.booking_seen,
        keeps_hours=laid.keeps_hours,
        extra_minutes=laid.extra_minutes,
    )


def _fan_rows(
    stop: PlannedStop, each: TimedStop, works: Mapping[Wanted, Work]
) -> Iterable[StopFan]:
    for wanted in each.laid.works:
        if wanted in works:
            yield StopFan(
                stop=stop,
                **work_columns(works[wanted]),
                pulled_forward=wanted in each.pulled_forward,
                made_necessary=wanted == each.driver,
            )
