"""What the engine is told of one fan: plain values, days as ordinals, nothing from a database.

This is the meeting point of three parties: ``schedules.due`` builds it from the tables, the
engine folds it into columns and reckons dates, and the oracle of the tests reads it and nothing
else.  A *moment* is a local day and, where known, the minute of that day.  Nobody changes
any of it; what comes with every check is not frozen, which would take thrice as long to make.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import nan


@dataclass(slots=True)
class Vibration:
    """One measured vibration of a check.

    ``point`` names place and direction.  Series run in ``value_mm_s`` of one detector;
    ``verdict`` was given in the unit as typed, as were ``of_start`` and ``of_alarm``: the value
    divided by that unit's own start-up and alarm limits.  ``exact`` is false for a qualified
    reading: it may carry a verdict, never a slope.  ``hz`` is NaN where nobody named a speed.
    """

    point: str
    detector: str
    meter: str
    value_mm_s: float
    verdict: str
    start_mm_s: float = nan
    alarm_mm_s: float = nan
    of_start: float = nan
    of_alarm: float = nan
    hz: float = nan
    exact: bool = True


@dataclass(slots=True)
class Grease:
    """A comb's interval at one place [um]; a single figure has both ends equal."""

    place: str
    low_um: float
    high_um: float
    limit_um: float


@dataclass(slots=True)
class Look:
    """One check: one fan, one visit, one stage.

    ``verdicts`` holds the verdict of every subject judged, vibration and felt vibration included;
    ``required_unjudged`` says that a required item could not be judged.  ``answered`` lists the
    entries of ``fleet.quantities.LOOK_LISTS`` that got an answer; ``lasting`` the subjects whose
    fault was marked lasting.  ``recheck_days`` overrides the days of a state, by subject.
    """

    day: int
    minute: int | None = None
    stage: str = "as_found"
    visit_kind: str = "walk_through"
    here: bool = True
    machine: int = 0
    verdicts: Mapping[str, str] = field(default_factory=dict)
    answered: frozenset[str] = frozenset()
    lasting: frozenset[str] = frozenset()
    required_unjudged: bool = False
    recheck_days: Mapping[str, int] = field(default_factory=dict)
    vibration: tuple[Vibration, ...] = ()
    felt: str = ""
    grease: tuple[Grease, ...] = ()


@dataclass(frozen=True, slots=True)
class Inspection:
    """A code inspection of the fan's system; it settles the rule only if made by one qualified."""

    day: int
    qualified: bool


@dataclass(frozen=True, slots=True)
class Event:
    """Something between visits: ``hood_cleaning``, ``storm``, ``power_event``, ``kitchen_change``.

    ``places`` are those cleaned (``hood``, ``duct``, ``housing``).  ``running_day`` is the day the
    kitchen answered that the fan runs.
    """

    kind: str
    start_day: int
    end_day: int
    start_minute: int | None = None
    end_minute: int | None = None
    tipped: bool = False
    places: frozenset[str] = frozenset()
    wheel_cleaned: bool = False
    running_day: int | None = None
    key: int = 0


@dataclass(frozen=True, slots=True)
class Action:
    """What was done: ``repaired``, ``replaced``, ``cleaned``, ``adjusted``, ``temporary``,
    ``balanced``, ``speed_changed``, ``remounted``, ``regreased``, on an item or subject."""

    kind: str
    item: str
    day: int
    minute: int | None = None


@dataclass(frozen=True, slots=True)
class Noted:
    """A finding a person wrote down, beside those that verdicts open by themselves.

    ``recheck_day`` is its own date; ``closed_day`` the day it was closed with a reason.
    ``subject`` ties it to what checks look at; such a finding and the verdict's own are one.
    """

    subject: str
    item: str
    verdict: str
    day: int
    minute: int | None = None
    lasting: bool = False
    recheck_day: int | None = None
    closed_day: int | None = None


@dataclass(frozen=True, slots=True)
class Decision:
    """The owner's answer on a subject: ``go_ahead``, ``not_now`` or ``declined``."""

    subject: str
    answer: str
    day: int


@dataclass(frozen=True, slots=True)
class Machine:
    """What is installed from ``since_day``; the last of a record's machines is the one in place."""

    since_day: int
    belt_drive: bool = False
    rpm: float = nan
    hertz: float = nan
    bore_mm: float = nan
    frame: int | None = None
    bearings: str = ""
    vertical: bool = True
    temperature_c: float = nan
    maker_regrease_h: float = nan
    first: bool = True


@dataclass(frozen=True, slots=True)
class CalendarPeriod:
    """Weekly opening from ``valid_from_day``: per weekday (Monday 0) spans of minutes of the day.

    A span may end past 1,440, which is the next day.  ``always`` is a 24-hour kitchen that said so.
    """

    valid_from_day: int
    spans: tuple[tuple[tuple[int, int], ...], ...] = ((),) * 7
    always: bool = False


@dataclass(frozen=True, slots=True)
class Calendar:
    """A system's operating calendar with its closed days, in the site's zone."""

    zone: str
    periods: tuple[CalendarPeriod, ...] = ()
    closed_days: tuple[int, ...] = ()


@dataclass(slots=True)
class MeterReading:
    """An hour meter as read [h]; another ``meter`` is another instrument, counting anew."""

    day: int
    hours: float
    meter: str = ""
    digits: int = 6


@dataclass(frozen=True, slots=True)
class Cooking:
    """Cooking classes in force from a day: ``solid_fuel``, ``high``, ``moderate``, ``low``."""

    valid_from_day: int
    classes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OutOfService:
    """Made safe on ``day``; ``restart_day`` is promised, ``restarted_day`` happened."""

    day: int
    restart_day: int | None = None
    restarted_day: int | None = None


@dataclass(frozen=True, slots=True)
class FailurePrior:
    """A gamma law of how often fans of one class fail [1/year], fitted over so many of them."""

    shape: float
    mean_a_year: float
    fans: int = 0


@dataclass(frozen=True, slots=True)
class FanRecord:
    """All that the rules may know of one fan; tuples are in time order, as told where equal.

    ``failed_days`` are those of losses of function at the position, whatever machine stood there,
    call-backs left out; ``prior`` is that of the fan's class, None where none could be fitted.
    """

    entered_day: int
    onboarding_day: int | None = None
    harsh: bool = False
    reliability: str = "medium"
    stretching: bool = False
    machines: tuple[Machine, ...] = (Machine(0),)
    cooking: tuple[Cooking, ...] = ()
    calendar: Calendar | None = None
    looks: tuple[Look, ...] = ()
    inspections: tuple[Inspection, ...] = ()
    events: tuple[Event, ...] = ()
    actions: tuple[Action, ...] = ()
    noted: tuple[Noted, ...] = ()
    decisions: tuple[Decision, ...] = ()
    meter: tuple[MeterReading, ...] = ()
    out_of_service: tuple[OutOfService, ...] = ()
    expected_cleanings: tuple[int, ...] = ()
    failed_days: tuple[int, ...] = ()
    prior: FailurePrior | None = None


RULES: tuple[str, ...] = (
    "", "walk_through", "code_inspection", "running_hours", "grease", "vibration", "follow_up",
    "after_event", "failure_odds", "restart",
)  # fmt: skip
"""Names by rule number; 9 is the restart check of a fan out of service."""


@dataclass(frozen=True, slots=True)
class RuleDate:
    """One rule's answer for one fan; ``why`` is a code, ``args`` its numbers."""

    rule: int
    due_day: int
    overdue_after_day: int
    why: str = ""
    args: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Reckoned:
    """All dates of one fan, earliest first, with what could not be told and why."""

    dates: tuple[RuleDate, ...]
    cannot_tell: tuple[str, ...] = ()
    not_before_day: int | None = None

    @property
    def due(self) -> RuleDate | None:
        """The date that comes due first; None where there is no date."""
        return min(self.dates, key=lambda d: (d.due_day, d.rule), default=None)

    @property
    def overdue(self) -> RuleDate | None:
        """The date that is overdue first, perhaps of another rule; None where there is none."""
        return min(self.dates, key=lambda d: (d.overdue_after_day, d.rule), default=None)
