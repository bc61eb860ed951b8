"""Facts behind a date that no number of its rule tells: why monthly, what a look left out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from config.questions import Row
from fleet.quantities import LOOK_LISTS
from schedules.due.behind import Behind
from schedules.engine import after_event, walk_through
from schedules.engine.parameters import WalkThrough
from schedules.engine.record import RuleDate
from visits.judging import readings_of
from visits.limits import unanswered

USUAL_MONTHS = WalkThrough().base_months
Dates = Sequence[tuple[int, RuleDate]]


@dataclass(frozen=True)
class Monthly:
    """What makes a fan be walked more often than others: ``belt``, ``coastal``, ``corrosive``."""

    reasons: tuple[str, ...]


@dataclass(frozen=True)
class LeftOut:
    """Entries of an event's list that the last look after it did not answer."""

    on: date
    entries: tuple[str, ...]


@dataclass(frozen=True)
class Grounds:
    """Fans walked ``often``, and those that look back at an event: its kind and day."""

    often: frozenset[int]
    events: Mapping[int, tuple[str, date]]

    @staticmethod
    def of(dates: Dates) -> Grounds:
        often = frozenset(
            fan_id
            for fan_id, told in dates
            if "last_day" in told.args and told.args.get("base_months", USUAL_MONTHS) < USUAL_MONTHS
        )
        events = {
            fan_id: (told.why, date.fromordinal(int(told.args["event_day"])))
            for fan_id, told in dates
            if told.rule == after_event.number and told.why in (*after_event.EVENTS, "start_up")
        }
        return Grounds(often, events)

    @property
    def since(self) -> dict[int, date]:
        """The day from which a fan's looks count."""
        return {fan_id: day for fan_id, (_, day) in self.events.items()}

    def told(self, behind: Behind) -> Iterator[tuple[int, int, Monthly | LeftOut]]:
        """Fan id, rule and the fact behind its date, where there is one."""
        for fan in behind.fans:
            reasons = _reasons(fan, behind) if fan["id"] in self.often else ()
            if reasons:
                yield fan["id"], walk_through.number, Monthly(reasons)
        for fan_id, (why, day) in self.events.items():
            left_out = _left_out(behind, fan_id, why, day)
            if left_out:
                yield fan_id, after_event.number, left_out


def _reasons(fan: Row, behind: Behind) -> tuple[str, ...]:
    machines = behind.machines.get(fan["id"], ())
    belt = any(row["removed_on"] is None and row["drive"] == "belt" for row in machines)
    air = fan["site__surroundings"]
    return ("belt",) * belt + ((air,) if air != "inland" else ())


def _left_out(behind: Behind, fan_id: int, why: str, day: date) -> LeftOut | None:
    installed = {row["id"] for row in behind.machines.get(fan_id, ()) if row["removed_on"] is None}
    looks = [row for row in behind.checks.get(fan_id, ()) if _counts(row, why, day, installed)]
    if not looks:
        return None
    entries = unanswered(readings_of(looks[-1]), LOOK_LISTS[why])
    return LeftOut(looks[-1]["visit__local_on"], entries) if entries else None


def _counts(check: Row, why: str, day: date, installed: set[int]) -> bool:
    """Whether a check is a look after the event, be it a part of one."""
    on, found = check["visit__local_on"], check["stage"] == "as_found"
    if why == "start_up":
        # On its own visit the new machine is what was left, not what was found.
        in_place = check["machine_id"] in installed
        return in_place and on >= day and (found or check["visit__kind"] == "replacement")
    # On the day itself nobody can tell here which came first.
    return found and on > day
