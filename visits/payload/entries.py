"""A record once read: plain values under the names of the format, nothing looked up yet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID

from visits.payload.moments import Moment
from visits.payload.readings import Readings


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """The site as named, or its id."""

    site_id: int | None = None
    owner: str = ""
    site: str = ""

    @property
    def is_named(self) -> bool:
        """Whether it can be looked up; a place that was not written readably cannot."""
        return bool(self.owner and self.site) if self.site_id is None else self.site_id > 0


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckEntry:
    """One fan at one stage; ``pointer`` is its place in the record, for later complaints."""

    pointer: str
    fan: str
    stage: str
    readings: Readings
    lasting: tuple[str, ...]
    recheck: Mapping[str, date]
    switch_left: str
    notes: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingEntry:
    """A fault somebody wrote down."""

    pointer: str
    id: UUID | None
    fan: str
    subject: str
    item: str
    severity: str
    verdict: str
    failure_mode: str
    mechanism: str
    cause: str
    loss_of_function: bool
    lasting: bool
    failed_on: date | None
    recheck_on: date | None
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ActionEntry:
    """Something done; ``machine`` is the new nameplate where a machine was replaced."""

    pointer: str
    fan: str
    kind: str
    item: str
    part: str
    note: str
    machine: Mapping[str, Any] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DecisionEntry:
    """The owner's answer to a recommendation, or on a subject of a fan."""

    pointer: str = ""
    id: UUID | None = None
    place: Place = Place()
    recommendation: UUID | None = None
    fan: str = ""
    subject: str = ""
    answer: str = ""
    decided_on: date | None = None
    not_before: date | None = None
    decided_by: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RecommendationEntry:
    """Advice, with the answer where it was given on the spot."""

    pointer: str
    id: UUID | None
    fan: str
    subject: str
    text: str
    cost: Decimal | None
    decision: DecisionEntry | None


@dataclass(frozen=True, slots=True, kw_only=True)
class NotReachedEntry:
    """A fan, or one item of it, that the visit did not reach."""

    pointer: str
    fan: str
    item: str
    reason: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeSafeEntry:
    """A fan taken out of service."""

    pointer: str
    fan: str
    told: str
    lock_holder: str
    cook_line_stopped: bool | None
    restarts_when: str
    promised_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class InspectionEntry:
    """A code inspection of a system; an empty name is the site's only one."""

    pointer: str
    system: str
    areas_not_cleaned: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateEntry:
    """What was read on the nameplate of the machine in place."""

    pointer: str
    fan: str
    machine: Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitEntry:
    """One visit with all that hangs on it."""

    id: UUID
    sha256: str
    place: Place
    kind: str
    began: Moment
    ended: Moment | None
    technician: str
    inspector_qualified: bool
    notes: str
    supersedes: UUID | None
    correction_reason: str
    checks: tuple[CheckEntry, ...] = ()
    findings: tuple[FindingEntry, ...] = ()
    actions: tuple[ActionEntry, ...] = ()
    recommendations: tuple[RecommendationEntry, ...] = ()
    decisions: tuple[DecisionEntry, ...] = ()
    not_reached: tuple[NotReachedEntry, ...] = ()
    made_safe: tuple[MadeSafeEntry, ...] = ()
    inspections: tuple[InspectionEntry, ...] = ()
    plates: tuple[PlateEntry, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class EventEntry:
    """Something that happened between visits."""

    id: UUID
    sha256: str
    place: Place
    kind: str
    system: str
    fan: str
    started: Moment
    ended: Moment
    crew: str
    tipped: tuple[str, ...]
    places_cleaned: tuple[str, ...]
    places_not_cleaned: tuple[str, ...]
    wheel_cleaned: bool
    resets: int | None
    running_on: date | None
    note: str
    supersedes: UUID | None
    correction_reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerEntry:
    """A decision told by itself, between visits."""

    id: UUID
    sha256: str
    decision: DecisionEntry


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosingEntry:
    """A finding closed with a reason."""

    id: UUID
    sha256: str
    finding: UUID
    closed_on: date
    reason: str
    closed_by: str


Entry = VisitEntry | EventEntry | AnswerEntry | ClosingEntry
