"""Rows about to be written for a batch of records, and the writing of them in few statements."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from config.rows import ready
from fleet.plates import Feed, Plate
from fleet.quantities import LOOK_LISTS
from visits.judging import answered_of
from visits.limits import Judgement
from visits.models import (
    Action,
    Check,
    Closing,
    Decision,
    Event,
    Finding,
    MadeSafe,
    NotReached,
    PlateReading,
    Recommendation,
    SystemInspection,
    Visit,
)


@dataclass(slots=True)
class NewCheck:
    """A check with what it is judged by."""

    row: Check
    plate: Plate
    feed: Feed
    judgements: list[Judgement] = field(default_factory=list)

    @property
    def left_out(self) -> tuple[str, ...]:
        """Entries of the walk-through's list for this drive that nobody answered."""
        belt = self.plate.drive == "belt"
        answered = answered_of(vars(self.row))
        entries = LOOK_LISTS["walk_through_belt" if belt else "walk_through_direct"]
        return tuple(entry for entry in entries if entry not in answered)


@dataclass(slots=True)
class Rows:
    """Unsaved rows in the order in which they may be written."""

    visits: list[Visit] = field(default_factory=list)
    checks: list[NewCheck] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    actions: list[Action] = field(default_factory=list)
    recommendations: list[Recommendation] = field(default_factory=list)
    decisions: list[Decision] = field(default_factory=list)
    not_reached: list[NotReached] = field(default_factory=list)
    made_safe: list[MadeSafe] = field(default_factory=list)
    inspections: list[SystemInspection] = field(default_factory=list)
    plates: list[PlateReading] = field(default_factory=list)
    events: list[Event] = field(default_factory=list)
    tipped: list[tuple[Event, int]] = field(default_factory=list)
    closings: list[Closing] = field(default_factory=list)

    def write(self) -> None:
        """All of it, in one statement where the database has such."""
        self.ready()()

    def ready(self) -> Callable[[], object]:
        """What writes it all, which then takes the database alone."""
        through = Event.tipped_fans.through
        return ready(
            [
                self.visits,
                [check.row for check in self.checks],
                self.findings,
                self.actions,
                self.recommendations,
                self.decisions,
                self.not_reached,
                self.made_safe,
                self.inspections,
                self.plates,
                self.events,
                [through(event=event, fan_id=fan) for event, fan in self.tipped],
                self.closings,
            ]
        )
