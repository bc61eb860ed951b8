"""Judges checks of the record: their columns, the machine and feed of that day, and what was felt.

Rows come as mappings of column names, so that a check about to be stored and one read back from
the tables are judged by the same lines.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields
from datetime import date
from operator import itemgetter
from typing import Any

from fleet.models import Feed as FeedRow
from fleet.models import Machine
from fleet.plates import PLATE_FIELDS, Feed, Plate, unreadable_parts
from fleet.quantities import (
    CONTEXT,
    GREASE_PLACES,
    QUANTITIES,
    VERDICT_ORDER,
    VIBRATION_POINTS,
)
from visits.limits import (
    ANSWERING,
    DEFAULT_LIMITS,
    NO_ANSWER,
    Context,
    Judgement,
    Limits,
    Reading,
    entries_of,
    is_answer,
    judge,
)
from visits.models import Visit

_MACHINE_COLUMNS = {field.name for field in Machine._meta.concrete_fields}
_FEED_COLUMNS = {field.name for field in FeedRow._meta.concrete_fields}
PLATE_COLUMNS = (*sorted(PLATE_FIELDS & _MACHINE_COLUMNS), "unreadable")
FEED_COLUMNS = tuple(f.name for f in fields(Feed) if f.name in _FEED_COLUMNS)
CONTEXT_COLUMNS = tuple(entry.name for entry in CONTEXT)
READING_COLUMNS = tuple(QUANTITIES)
_ANSWERING = tuple(sorted(ANSWERING))
_ANSWERS = itemgetter(*_ANSWERING)
NO_PLATE, NO_FEED = Plate(), Feed()


def plate_of(row: Mapping[str, Any]) -> Plate:
    """The nameplate in a machine's columns."""
    parts = {name: row[name] for name in PLATE_COLUMNS if name != "unreadable"}
    return Plate(**parts, unreadable=unreadable_parts(row["unreadable"]) & PLATE_FIELDS)


def feed_of(row: Mapping[str, Any]) -> Feed:
    """The feed in its columns."""
    return Feed(**{name: row[name] for name in FEED_COLUMNS})


def judge_row(
    row: Mapping[str, Any],
    *,
    plate: Plate = NO_PLATE,
    feed: Feed = NO_FEED,
    slight_before: bool = False,
    limits: Limits = DEFAULT_LIMITS,
) -> list[Judgement]:
    """Every judgement of one check; ``row`` holds its columns and ``typed``.

    Without a plate what depends on it cannot be judged, and says so.  ``slight_before`` comes from
    the fan's history: vibration was felt slight at an earlier look since the last reset.
    """
    context = {name: row[name] for name in CONTEXT_COLUMNS if row.get(name) is not None}
    return judge(
        readings_of(row),
        plate=plate,
        feed=feed,
        context=Context(**context, slight_before=slight_before),
        limits=limits,
    )


def judge_feed(plate: Plate, feed: Feed, limits: Limits = DEFAULT_LIMITS) -> list[Judgement]:
    """What the register itself says of a feed that the motor's plate does not allow."""
    present = {True: "present", False: "none", None: None}[feed.overload_present]
    told = {
        "overload_present": present,
        "overload_setting_a": feed.overload_setting_a,
        "breaker_a": feed.breaker_a,
    }
    readings = {name: value for name, value in told.items() if value is not None}
    judged = judge(readings, plate=plate, feed=feed, limits=limits)
    return [each for each in judged if VERDICT_ORDER[each.verdict] > VERDICT_ORDER["within"]]


def readings_of(row: Mapping[str, Any]) -> dict[str, Reading]:
    """Readings as typed; a column without a typed value is taken in its own unit."""
    typed: Mapping[str, Mapping[str, Any]] = row.get("typed") or {}
    readings = {}
    for name in READING_COLUMNS:
        if name in typed:
            as_typed = typed[name]
            readings[name] = Reading(
                as_typed.get("value"), as_typed.get("unit", ""), as_typed.get("qualifier", "")
            )
        elif row.get(name) is not None:
            readings[name] = Reading(row[name])
    return readings


def answered_of(row: Mapping[str, Any]) -> frozenset[str]:
    """Entries of ``LOOK_LISTS`` that a check's columns and ``typed`` answer."""
    told = {
        name for name, value in zip(_ANSWERING, _ANSWERS(row), strict=True) if value is not None
    }
    silent = {name for name, nothing in NO_ANSWER.items() if row[name] == nothing}
    # Over range, say: typed, but no figure for the column.
    for name in ANSWERING.intersection(row["typed"]).difference(told):
        typed = row["typed"][name]
        if is_answer(name, Reading(typed.get("value"), "", typed.get("qualifier", ""))):
            told.add(name)
    return entries_of(frozenset(told - silent))


def verdicts(judgements: Iterable[Judgement]) -> dict[str, str]:
    """The worst verdict of each subject on record; *cannot judge* never hides another."""
    worst: dict[str, str] = {}
    for judgement in judgements:
        subject = subject_of(judgement)
        known = worst.get(subject, "cannot_judge")
        if VERDICT_ORDER[judgement.verdict] >= VERDICT_ORDER[known]:
            worst[subject] = judgement.verdict
    return worst


def subject_of(judgement: Judgement) -> str:
    """The subject on record: vibration by point for its series, grease by place.

    Grease by place, too, so that one place seen clean settles no finding on another.
    """
    return _SUBJECT_OF_READING.get(judgement.quantity, judgement.subject)


_SUBJECT_OF_READING = {
    f"vibration_{point}_mm_s": f"vibration_{point}" for point in VIBRATION_POINTS
} | {
    f"grease_{place}_{end}_um": f"grease_{place}"
    for place in GREASE_PLACES
    for end in ("low", "high")
}


def judgements_of(checks: Sequence[Any], limits: Limits = DEFAULT_LIMITS) -> list[list[Judgement]]:
    """All judgements of stored checks again, for pages and answers, in three queries."""
    return [
        judge_stored(vars(check), plate, feed, limits)
        for check, (plate, feed) in zip(checks, motors_of(checks), strict=True)
    ]


def judge_stored(
    row: Mapping[str, Any], plate: Plate, feed: Feed, limits: Limits = DEFAULT_LIMITS
) -> list[Judgement]:
    """All judgements of a stored check again; what its past adds was noted when it was logged."""
    return judge_row(
        row,
        plate=plate,
        feed=feed,
        slight_before=row["judged"].get("vibration_felt") == "within",
        limits=limits,
    )


def motors_of(checks: Sequence[Any]) -> list[tuple[Plate, Feed]]:
    """What each stored check is judged by: the plate as it reads today, the feed of its day."""
    visits = Visit.objects.filter(pk__in={check.visit_id for check in checks})
    days = dict(visits.values_list("pk", "local_on"))
    machines = Machine.objects.filter(pk__in={check.machine_id for check in checks})
    plates = {row["id"]: plate_of(row) for row in machines.values("id", *PLATE_COLUMNS)}
    feeds = FeedRow.objects.filter(fan__in={check.fan_id for check in checks})
    by_fan: dict[int, list[Mapping[str, Any]]] = {}
    for row in feeds.values("fan_id", "valid_from", *FEED_COLUMNS):
        by_fan.setdefault(row["fan_id"], []).append(row)
    return [
        (
            plates.get(check.machine_id, NO_PLATE),
            feed_in_force(by_fan.get(check.fan_id, []), days[check.visit_id]),
        )
        for check in checks
    ]


def feed_in_force(rows: Sequence[Mapping[str, Any]], day: date) -> Feed:
    """The feed valid on ``day``: the latest begun by then, one without a day since always."""
    begun = [row for row in rows if row["valid_from"] is None or row["valid_from"] <= day]
    if not begun:
        return NO_FEED
    newest = max(begun, key=lambda row: row["valid_from"].toordinal() if row["valid_from"] else 0)
    return feed_of(newest)
