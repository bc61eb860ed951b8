"""Losses of function of a fan, each with the past that the engine ranks its causes by.

All from the rows that dates are reckoned from, so that whoever has them asks nothing more.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from math import nan
from typing import Any

from config.questions import Row
from fleet.failure_terms import is_known, term_of
from fleet.quantities import SEEN, THREE_PHASE, item_of
from schedules.due.losses import told_losses
from schedules.due.records import events_about, verdicts_by_subject
from schedules.due.truth import Truth
from schedules.engine.causes import Happening, Past, Seen, Work
from schedules.engine.causes.looking import LOOK_WINDOW_DAYS, NOTICED, SHAKING
from schedules.engine.causes.record import SINGLE_PHASE
from visits.judging import NO_PLATE, feed_in_force, judge_stored, plate_of
from visits.limits import DEFAULT_LIMITS

RATIO_COLUMNS = (
    "volts_ab_v", "volts_bc_v", "volts_ca_v", "overload_setting_a", "belt_deflection_mm",
)  # fmt: skip
VOLTS_RATIO = DEFAULT_LIMITS.volts_ratio


@dataclass(frozen=True)
class Loss:
    """One logged loss of function; ``cause`` is what somebody wrote down, empty if nobody did.

    ``finding_id`` and ``visit_id`` are of its last telling, the days of its first.
    """

    fan_id: int
    finding_id: Any
    visit_id: Any
    item: str
    failed_on: date
    found_on: date
    cause: str
    closed: bool
    past: Past


Wanted = Callable[[Row], bool]


def losses_of(truth: Truth, fan: Row, wanted: Wanted = bool) -> list[Loss]:
    """Losses of function of one of the fans of ``truth``, call-backs apart, newest first.

    Only those told by ``wanted`` rows of findings: the past of each is put together from the whole
    record.  One told twice is one, with the cause that its last telling or call-back gives.
    """
    told = told_losses(truth, fan["id"])
    firsts = [first for first, *_ in told]
    losses = [
        _loss(truth, fan, each, firsts, _called_back(truth, fan, each[-1], firsts))
        for each in told
        if any(map(wanted, each))
    ]
    return sorted(losses, key=lambda loss: (loss.failed_on, loss.found_on), reverse=True)


def supposed_losses(truth: Truth, fan: Row, items: Iterable[str], day: date) -> list[Loss]:
    """What losses of these items would be, were they found at a fan on that day."""
    firsts = [first for first, *_ in told_losses(truth, fan["id"])]
    row = {
        "id": None, "visit_id": None, "item": "", "failure_mode": "", "mechanism": "",
        "cause": "", "failed_on": None, "closed_on": None, "visit__local_on": day,
    }  # fmt: skip
    told = _loss(truth, fan, [row], firsts)
    return [replace(told, item=item, past=replace(told.past, item=item)) for item in items]


def _called_back(truth: Truth, fan: Row, last: Row, firsts: Sequence[Row]) -> list[Row]:
    """Call-backs of that failure, oldest first: those before the item failed anew."""
    item, since = item_of(last["item"]), last["visit__began_at"]
    anew = [
        row["visit__began_at"]
        for row in firsts
        if item_of(row["item"]) == item and row["visit__began_at"] > since
    ]
    rows = [
        row
        for row in truth.findings.get(fan["id"], ())
        if row["call_back"] and item_of(row["item"]) == item
        and since <= row["visit__began_at"] < min(anew, default=datetime.max.replace(tzinfo=UTC))
    ]  # fmt: skip
    return sorted(rows, key=lambda row: row["visit__began_at"])


def _loss(
    truth: Truth,
    fan: Row,
    tellings: Sequence[Row],
    firsts: Sequence[Row],
    called_back: Sequence[Row] = (),
) -> Loss:
    first, last, told = tellings[0], tellings[-1], (*tellings, *called_back)
    past = replace(
        _past(truth, fan, first, firsts), mechanism=term_of(_last_known(told, "mechanism"))
    )
    return Loss(
        fan["id"], last["id"], last["visit_id"], first["item"], day_failed(first),
        first["visit__local_on"], _last_known(told, "cause"),
        any(row["closed_on"] is not None for row in tellings), past,
    )  # fmt: skip


def _last_known(tellings: Sequence[Row], field: str) -> str:
    """What the last telling that names one gives as mechanism or cause; empty where none does."""
    told = [row[field] for row in tellings if is_known(row[field])]
    return told[-1] if told else ""


def day_failed(row: Row) -> date:
    """The day it failed; one told for after the visit that found it is that visit's."""
    return min(row["failed_on"] or row["visit__local_on"], row["visit__local_on"])


def _past(truth: Truth, fan: Row, row: Row, all_rows: Sequence[Row]) -> Past:
    failed, found = day_failed(row), row["visit__local_on"]
    machines = truth.machines.get(fan["id"], ())
    machine = _machine_on(machines, failed)
    feeds = truth.feeds.get(fan["id"], ())
    return Past(
        item=row["item"],
        failed_day=failed.toordinal(),
        found_day=found.toordinal(),
        mode=row["failure_mode"],
        since_day=_since(machine.get("installed_on"), failed),
        first_day=_first_day(machines, machine),
        motor_type=_motor_type(machine),
        belt_drive=machine["drive"] == "belt" if machine else None,
        bearings=machine.get("bearings", ""),
        control=feed_in_force(feeds, failed).control if feeds else "",
        harsh=fan["site__surroundings"] in ("coastal", "corrosive"),
        looks=tuple(_looks(truth, fan, failed, found)),
        events=tuple(
            Happening(event["kind"], _day_of(event, failed), fan["id"] in event["tipped"])
            for event in events_about(fan, truth.events_by_site.get(fan["site_id"], ()))
        ),
        works=tuple(
            Work(each["kind"], each["item"], each["visit__local_on"].toordinal())
            for each in truth.actions.get(fan["id"], ())
        ),
        failures=tuple(
            (each["item"], day_failed(each).toordinal())
            for each in all_rows
            if each["id"] != row["id"]
        ),
        left_shaking=_left_shaking(truth.checks.get(fan["id"], ()), failed, found),
    )


def _left_shaking(checks: Iterable[Row], failed: date, found: date) -> bool:
    return any(
        row["stage"] == "as_left"
        and failed <= row["visit__local_on"] <= found
        and verdicts_by_subject(row["judged"]).get(name) in NOTICED
        for row in checks
        for name in SHAKING
    )


def _machine_on(machines: Sequence[Row], failed: date) -> Mapping[str, Any]:
    """The machine that failed: one put in on the very day is what replaced it."""
    before = [row for row in machines if (row["installed_on"] or date.min) < failed]
    chosen = before or machines
    return chosen[-1] if before else chosen[0] if chosen else {}


def _motor_type(machine: Mapping[str, Any]) -> str:
    """The plate's type; where it names none, as far as the number of phases tells."""
    told = machine.get("motor_type", "")
    by_phases = {1: SINGLE_PHASE, 3: THREE_PHASE}.get(machine.get("phases") or 0, told)
    return by_phases if told in ("", "other") else told


def _since(installed: date | None, failed: date) -> int | None:
    """Of one put in after the failure only the plate tells, as that of the one before it may be."""
    return None if installed is None or installed > failed else installed.toordinal()


def _first_day(machines: Sequence[Row], machine: Mapping[str, Any]) -> int | None:
    """When the first machine came, where the one that failed is a later one; 0: nobody knows."""
    if not machines or machines[0]["id"] == machine.get("id"):
        return None
    came = machines[0]["installed_on"]
    return came.toordinal() if came else 0


def _day_of(event: Row, failed: date) -> int:
    """The day an event ended, or the failure's where that fell into it."""
    inside = event["started_on"] <= failed <= event["ended_on"]
    return (failed if inside else event["ended_on"]).toordinal()


def _looks(truth: Truth, fan: Row, failed: date, found: date) -> Iterator[Seen]:
    plates = {row["id"]: plate_of(row) for row in truth.machines.get(fan["id"], ())}
    first = failed.toordinal() - LOOK_WINDOW_DAYS
    for row in truth.checks.get(fan["id"], ()):
        day = row["visit__local_on"].toordinal()
        if row["stage"] == "as_found" and first <= day <= found.toordinal():
            plate = plates.get(row["machine_id"], NO_PLATE)
            feed = feed_in_force(truth.feeds.get(fan["id"], ()), row["visit__local_on"])
            yield Seen(
                day,
                verdicts_by_subject(row["judged"]),
                {each.name: row[each.name] for each in SEEN if row[each.name] is not None},
                **_ratios(row, plate, feed),
            )


def _ratios(row: Row, plate: Any, feed: Any) -> dict[str, float]:
    """How far measured figures lie from what the plate asks, where it can be told."""
    if all(row[column] is None for column in RATIO_COLUMNS):
        return {}
    told = {}
    for judged in judge_stored(row, plate, feed):
        value, args = judged.value, judged.args
        if not isinstance(value, int | float):
            continue
        if judged.code.startswith("volts.") and "low" in args:
            # Its limits are shares of the lowest and the highest rated volts.
            low, high = (args[e] / r for e, r in zip(("low", "high"), VOLTS_RATIO, strict=True))
            told["volts_of_rated"] = value / (low if value < low else high)
        elif judged.code in ("overload.within", "overload.above"):
            told["overload_of_full_load"] = value / args.get("full_load_a", nan)
        elif judged.code.startswith("belt_deflection.") and "ratio" in args:
            told["belt_of_usual"] = args["ratio"]
    return told
