"""Turn the rows of a block of fans into the plain records that the engine reads."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from functools import partial
from math import nan

from config.questions import Row
from fleet.quantities import (
    GREASE_PLACES,
    VERDICT_ORDER,
    VIBRATION_POINTS,
    WALK_THROUGH_BELT,
    WALK_THROUGH_DIRECT,
    item_of,
)
from schedules.due.losses import told_losses
from schedules.due.truth import Truth, read_truth
from schedules.due.vibration_facts import vibration_of
from schedules.engine.failure_odds import CLASSES
from schedules.engine.record import (
    Action,
    Cooking,
    Decision,
    Event,
    FanRecord,
    Grease,
    Inspection,
    Look,
    Machine,
    MeterReading,
    Noted,
    OutOfService,
)
from visits.judging import answered_of
from visits.limits import DEFAULT_LIMITS, Limits

MEASURED = frozenset(("vibration", *(f"vibration_{point}" for point in VIBRATION_POINTS)))
GREASE_COLUMNS = tuple(
    (place, f"grease_{place}_low_um", f"grease_{place}_high_um") for place in GREASE_PLACES
)


def fan_records(
    fan_ids: Sequence[int], limits: Limits = DEFAULT_LIMITS
) -> Iterator[tuple[Row, Callable[[], FanRecord]]]:
    """Each fan's register row with what builds its record, in order of fan id.

    Building is left to the caller, so that one fan's broken data is that fan's alone.
    """
    yield from records_in(read_truth(fan_ids), limits)


def records_in(
    truth: Truth, limits: Limits = DEFAULT_LIMITS
) -> Iterator[tuple[Row, Callable[[], FanRecord]]]:
    """The same, of fans whose rows have been read."""
    for fan in truth.fans:
        yield fan, partial(_record, fan, truth, limits)


def _record(fan: Row, truth: Truth, limits: Limits) -> FanRecord:
    fan_id, system_id = fan["id"], fan["system_id"]
    machines = truth.machines.get(fan_id, [])
    checks = _stages_in_order(truth.checks.get(fan_id, []))
    actions = _actions(truth.actions.get(fan_id, []))
    looks = tuple(_looks(machines, checks, limits))
    reliability, stretching = _agreement(truth.agreements.get(fan["site__owner_id"], []))
    return FanRecord(
        entered_day=fan["entered_on"].toordinal(),
        onboarding_day=_day(fan["onboarding_on"]),
        harsh=fan["site__surroundings"] in ("coastal", "corrosive"),
        reliability=reliability,
        stretching=stretching,
        machines=tuple(_machine(fan, row) for row in machines)
        or (Machine(fan["entered_on"].toordinal()),),
        cooking=tuple(_cooking(truth.cooking.get(system_id, []))),
        calendar=truth.calendars.get(fan_id),
        looks=looks,
        inspections=tuple(
            Inspection(row["visit__local_on"].toordinal(), row["qualified"])
            for row in truth.inspections.get(system_id, [])
        ),
        events=tuple(_events(fan, truth.events_by_site.get(fan["site_id"], []))),
        actions=actions,
        noted=(
            *_noted(truth.findings.get(fan_id, [])),
            *_own_rechecks(truth.checks.get(fan_id, [])),
        ),
        decisions=tuple(
            Decision(row["subject"], row["answer"], row["decided_on"].toordinal())
            for row in truth.decisions.get(fan_id, [])
        ),
        meter=tuple(_meter(fan, checks, actions)),
        out_of_service=tuple(_out_of_service(truth.made_safe.get(fan_id, []), looks, machines)),
        expected_cleanings=tuple(
            row["day"].toordinal() for row in truth.expected.get(system_id, [])
        ),
        prior=truth.priors.get(CLASSES[_is_belt_driven(machines)]),
        failed_days=tuple(sorted(_failed_days(truth, fan_id))),
    )


def _is_belt_driven(machines: list[Row]) -> bool:
    return bool(machines) and machines[-1]["drive"] == "belt"


def _day(value: date | None) -> int | None:
    return None if value is None else value.toordinal()


def _agreement(rows: list[Row]) -> tuple[str, bool]:
    """Reliability and stretching of the agreement that starts last; "medium" without one."""
    if not rows:
        return "medium", False
    newest = max(rows, key=lambda row: row["starts_on"])
    return newest["reliability"], newest["stretching_allowed"]


def _machine(fan: Row, row: Row) -> Machine:
    since = row["installed_on"] or fan["entered_on"]
    frame = "".join(c for c in row["frame"] if c.isdecimal())
    return Machine(
        since_day=since.toordinal(),
        belt_drive=row["drive"] == "belt",
        rpm=_number(row["shaft_rpm"] or row["speed_rpm"]),
        hertz=_number(row["hertz"]),
        bore_mm=_number(row["bore_mm"]),
        # no frame has more than four figures: whatever else was typed there is not one
        frame=int(frame) if 0 < len(frame) <= 4 else None,
        bearings=row["bearings"],
        vertical=row["shaft"] == "vertical",
        maker_regrease_h=_number(row["maker_regrease_h"]),
        first=row["first_here"],
    )


def _number(value: float | None) -> float:
    return nan if value is None else float(value)


def _cooking(rows: list[Row]) -> Iterator[Cooking]:
    for row in rows:
        yield Cooking(row["valid_from"].toordinal(), tuple(row["classes"]))


def _looks(machines: list[Row], checks: list[Row], limits: Limits) -> Iterator[Look]:
    place = {row["id"]: index for index, row in enumerate(machines)}
    grease_limits = {place: limits.grease_limit(place, "um") for place in GREASE_PLACES}
    for row in checks:
        index = place.get(row["machine_id"], max(len(machines) - 1, 0))
        machine = machines[index] if machines else None
        judged = verdicts_by_subject(row["judged"])
        required = (
            WALK_THROUGH_BELT if machine and machine["drive"] == "belt" else WALK_THROUGH_DIRECT
        )
        yield Look(
            day=row["visit__local_on"].toordinal(),
            minute=row["visit__local_minute"],
            stage=row["stage"],
            visit_kind=row["visit__kind"],
            here=row["visit__here"],
            machine=index,
            verdicts=judged,
            answered=answered_of(row),
            lasting=frozenset(row["lasting"]),
            required_unjudged="cannot_judge" in judged.values()
            and any(judged.get(item) == "cannot_judge" for item in required),
            vibration=vibration_of(row, machine, limits),
            felt=row["vibration_felt"] or "",
            grease=tuple(_grease(row, grease_limits)),
        )


def verdicts_by_subject(judged: dict[str, str]) -> dict[str, str]:
    """Verdicts by subject; the points of vibration are one subject, with the worst of them."""
    points = MEASURED.intersection(judged)
    if not points:
        return judged
    verdicts = {subject: each for subject, each in judged.items() if subject not in points}
    verdicts["vibration"] = max(map(judged.__getitem__, points), key=VERDICT_ORDER.__getitem__)
    return verdicts


def _stages_in_order(checks: list[Row]) -> list[Row]:
    """As found before as left within one visit; visits stay in the order they began."""
    return sorted(
        checks, key=lambda row: (row["visit__began_at"], row["visit_id"], row["stage"] == "as_left")
    )


def _grease(row: Row, limits_um: Mapping[str, float]) -> Iterator[Grease]:
    for place, low_column, high_column in GREASE_COLUMNS:
        low, high = row[low_column], row[high_column]
        if high is not None:
            yield Grease(place, high if low is None else low, high, limits_um[place])


def _actions(rows: list[Row]) -> tuple[Action, ...]:
    return tuple(
        Action(
            row["kind"], row["item"], row["visit__local_on"].toordinal(), row["visit__local_minute"]
        )
        for row in rows
    )


def _noted(rows: list[Row]) -> Iterator[Noted]:
    for row in rows:
        yield Noted(
            subject=row["subject"],
            item=row["item"],
            verdict=row["verdict"],
            day=row["visit__local_on"].toordinal(),
            minute=row["visit__local_minute"],
            lasting=row["lasting"],
            recheck_day=_day(row["recheck_on"]),
            closed_day=_day(row["closed_on"]),
        )


def _failed_days(truth: Truth, fan_id: int) -> Iterator[int]:
    """Days of losses of function, whenever somebody heard of them."""
    for first, *_ in told_losses(truth, fan_id):
        yield (first["failed_on"] or first["visit__local_on"]).toordinal()


def _own_rechecks(checks: list[Row]) -> Iterator[Noted]:
    """A recheck date typed beside a reading is that finding's own date."""
    for row in checks:
        for subject, text in row["recheck_days"].items():
            verdict = row["judged"].get(subject)
            if verdict in ("watch", "act", "stop"):
                yield Noted(
                    subject, item_of(subject), verdict, row["visit__local_on"].toordinal(),
                    row["visit__local_minute"], recheck_day=date.fromisoformat(text).toordinal(),
                )  # fmt: skip


def is_about(fan: Row, event: Row) -> bool:
    """Whether an event of its site is the fan's own, of its system or of the whole roof."""
    systems = (None, fan["system_id"])
    return event["fan_id"] in (None, fan["id"]) and event["system_id"] in systems


def events_about(fan: Row, rows: Iterable[Row]) -> list[Row]:
    """Those of its site's events that are about the fan."""
    return [row for row in rows if is_about(fan, row)]


def _events(fan: Row, rows: list[Row]) -> Iterator[Event]:
    for key, row in enumerate(rows):
        if is_about(fan, row) and row["kind"] != "breaker_reset":
            yield Event(
                kind=row["kind"],
                start_day=row["started_on"].toordinal(),
                end_day=row["ended_on"].toordinal(),
                start_minute=row["started_minute"],
                end_minute=row["ended_minute"],
                tipped=fan["id"] in row["tipped"],
                places=frozenset(row["places_cleaned"]),
                wheel_cleaned=row["wheel_cleaned"],
                running_day=_day(row["running_on"]),
                key=key,
            )


def _meter(fan: Row, checks: list[Row], actions: tuple[Action, ...]) -> Iterator[MeterReading]:
    swapped = [a.day for a in actions if a.kind == "replaced" and a.item == "hour_meter"]
    for row in checks:
        hours = row["hour_meter_h"]
        day = row["visit__local_on"].toordinal()
        if hours is not None:
            meter = sum(1 for swap in swapped if swap < day)
            yield MeterReading(day, hours, str(meter), fan["hour_meter_digits"])


def _out_of_service(
    rows: list[Row], looks: tuple[Look, ...], machines: list[Row]
) -> Iterator[OutOfService]:
    """Each made-safe with the first full walk-through after it, which is what restarts a fan."""
    for row in rows:
        day, minute = row["visit__local_on"].toordinal(), row["visit__local_minute"]
        later = (
            look.day for look in looks if _full_walk(look, machines) and _after(look, day, minute)
        )
        yield OutOfService(day, _day(row["promised_on"]), next(later, None))


def _after(look: Look, day: int, minute: int | None) -> bool:
    if look.day != day:
        return look.day > day
    return look.minute is not None and minute is not None and look.minute > minute


def _full_walk(look: Look, machines: list[Row]) -> bool:
    belt = bool(machines) and machines[look.machine]["drive"] == "belt"
    required = WALK_THROUGH_BELT if belt else WALK_THROUGH_DIRECT
    return look.stage == "as_found" and look.answered.issuperset(required)
