"""Every number by which dates are set, in one frozen, checked object that settings may override."""

from __future__ import annotations

from dataclasses import dataclass, field

from schedules.engine.errors import ParameterError
from schedules.engine.settable import Group, Standing, number

CONFIRMED, ONE_SOURCE = Standing.CONFIRMED, Standing.ONE_SOURCE
COMMON, OURS = Standing.COMMON_PRACTICE, Standing.OUR_CHOICE

NETA = "NETA MTS, Appendix B"
NFPA = "NFPA 96, inspection table (12.4 in 2021, 11.4 in 2014)"
COMB = "NFPA 96, 12.6.1.1.1 (2021)"
HANDBOOK = "bearing handbooks"
MONTH_RANGE, DAY_RANGE, GRACE_RANGE = (0.25, 24.0), (1, 365), (0, 365)


@dataclass(frozen=True)
class Multipliers(Group):
    """Factors on the base interval by condition and by the reliability an owner wants."""

    poor_low: float = number(1.0, "", (0.1, 5), NETA, CONFIRMED)
    poor_medium: float = number(0.5, "", (0.1, 5), NETA, CONFIRMED)
    poor_high: float = number(0.25, "", (0.1, 5), NETA, CONFIRMED)
    average_low: float = number(2.0, "", (0.1, 5), NETA, CONFIRMED)
    average_medium: float = number(1.0, "", (0.1, 5), NETA, CONFIRMED)
    average_high: float = number(0.5, "", (0.1, 5), NETA, CONFIRMED)
    good_low: float = number(2.5, "", (0.1, 5), NETA, CONFIRMED)
    good_medium: float = number(1.5, "", (0.1, 5), NETA, CONFIRMED)
    good_high: float = number(0.75, "", (0.1, 5), NETA, CONFIRMED)

    def __post_init__(self) -> None:
        super().__post_init__()
        for wanted in ("low", "medium", "high"):
            row = [self.factor(condition, wanted) for condition in ("poor", "average", "good")]
            if row != sorted(row):
                raise ParameterError(
                    f"factors for {wanted} reliability are {row}; must not fall towards good"
                )

    def factor(self, condition: str, reliability: str) -> float:
        """Factor for ``poor``, ``average`` or ``good`` at ``low``, ``medium`` or ``high``."""
        value: float = getattr(self, f"{condition}_{reliability}")
        return value


@dataclass(frozen=True)
class WalkThrough(Group):
    """Rule 1."""

    base_months: float = number(2.0, "months", MONTH_RANGE, "walk every other month", COMMON)
    harsh_base_months: float = number(1.0, "months", MONTH_RANGE, "monthly walk", COMMON)
    longest_months: float = number(4.0, "months", MONTH_RANGE)
    harsh_longest_months: float = number(2.0, "months", MONTH_RANGE)
    grace_days: int = number(14, "d", GRACE_RANGE)
    first_days: int = number(14, "d", GRACE_RANGE)
    multipliers: Multipliers = field(default_factory=Multipliers)


@dataclass(frozen=True)
class CodeInspection(Group):
    """Rule 2: months between inspections for grease by cooking class."""

    solid_fuel_months: int = number(1, "months", (1, 24), NFPA, CONFIRMED)
    high_months: int = number(3, "months", (1, 24), NFPA, CONFIRMED)
    moderate_months: int = number(6, "months", (1, 24), NFPA, CONFIRMED)
    low_months: int = number(12, "months", (1, 24), NFPA, CONFIRMED)
    unknown_months: int = number(3, "months", (1, 24))
    first_days: int = number(14, "d", GRACE_RANGE)

    def months(self, classes: tuple[str, ...]) -> int:
        """Months for the strictest of ``classes``; ``unknown_months`` where none is named."""
        each = [int(getattr(self, f"{name}_months")) for name in classes]
        return min(each, default=self.unknown_months)


@dataclass(frozen=True)
class RunningHours(Group):
    """Rule 3."""

    ratio_days: int = number(90, "d", DAY_RANGE)
    least_ratio: float = number(0.2, "", (0.0, 1.0))
    day_hours: float = number(24.0, "h", (1, 24))
    bearing_k: float = number(10.0, "", (0.1, 20), HANDBOOK + ", ball bearing", CONFIRMED)
    bearing_temperature_c: float = number(70.0, "deg C", (-40, 200), HANDBOOK, CONFIRMED)
    frame_duty: float = number(0.5, "", (0.1, 1), "motor manual, severe duty", CONFIRMED)
    grace_days: int = number(7, "d", GRACE_RANGE)


@dataclass(frozen=True)
class GreaseLoad(Group):
    """Rule 4; the depth that must not be reached is a limit on a reading, not one of dates."""

    cleaned_depth_um: float = number(50.0, "um", (0, 1000), COMB, CONFIRMED)
    last_two_apart_days: int = number(14, "d", DAY_RANGE)
    slope_confidence: float = number(0.90, "", (0.5, 0.999))
    lead_days: int = number(14, "d", GRACE_RANGE)


@dataclass(frozen=True)
class VibrationLevel(Group):
    """Rule 5a, and what belongs to one series in all of rule 5."""

    speed_band: float = number(0.05, "", (0, 0.5))
    wheel_clean_drop: float = number(0.25, "of start-up limit", (0, 1))
    fall_back: float = number(0.9, "of limit", (0.5, 1))
    watch_days: int = number(30, "d", DAY_RANGE)
    act_first_days: int = number(14, "d", DAY_RANGE)
    act_second_days: int = number(30, "d", DAY_RANGE)
    act_later_days: int = number(60, "d", DAY_RANGE)
    grace_days: int = number(3, "d", GRACE_RANGE)

    def act_days(self, nth: int) -> int:
        """Days to the nth look (from 1) while a reading stands at act."""
        return (self.act_first_days, self.act_second_days, self.act_later_days)[min(nth, 3) - 1]


@dataclass(frozen=True)
class VibrationStep(Group):
    """Rule 5b."""

    least_earlier: int = number(2, "readings", (2, 100))
    start_limit_share: float = number(0.25, "of start-up limit", (0.01, 2))
    spread_factor: float = number(3.0, "", (1, 10))
    spread_scale: float = number(
        1.4826, "", (1, 2), "median absolute deviation of a normal law", CONFIRMED
    )
    days: int = number(14, "d", DAY_RANGE)
    grace_days: int = number(3, "d", GRACE_RANGE)


@dataclass(frozen=True)
class VibrationTrend(Group):
    """Rule 5c."""

    least_readings: int = number(5, "readings", (3, 100))
    least_span_days: int = number(60, "d", DAY_RANGE)
    pair_apart_days: int = number(14, "d", GRACE_RANGE)
    largest_p: float = number(0.05, "", (0.001, 0.5))
    level: float = number(0.80, "", (0.5, 0.999))
    look_share: float = number(
        0.5, "of the time left", (0.1, 1), "half of the warning time, SAE JA1011", CONFIRMED
    )
    least_half_days: int = number(7, "d", DAY_RANGE)
    at_alarm_days: int = number(7, "d", DAY_RANGE)
    grace_days: int = number(7, "d", GRACE_RANGE)


@dataclass(frozen=True)
class FollowUp(Group):
    """Rule 6."""

    watch_days: int = number(30, "d", DAY_RANGE)
    act_days: int = number(14, "d", DAY_RANGE)
    stop_days: int = number(0, "d", GRACE_RANGE)
    temporary_days: int = number(14, "d", DAY_RANGE)
    declined_factor: int = number(2, "", (1, 10))
    grace_days: int = number(3, "d", GRACE_RANGE)


@dataclass(frozen=True)
class HoodCleaning(Group):
    """Rule 7 after a hood cleaning, done or expected."""

    due_days: int = number(7, "d", GRACE_RANGE)
    overdue_days: int = number(14, "d", GRACE_RANGE)
    expected_due_days: int = number(7, "d", GRACE_RANGE)
    expected_not_before_days: int = number(1, "d", GRACE_RANGE)
    expected_match_days: int = number(21, "d", GRACE_RANGE)

    def __post_init__(self) -> None:
        super().__post_init__()
        _in_order(self.due_days, self.overdue_days, "days after a hood cleaning")


@dataclass(frozen=True)
class NewBelt(Group):
    """Rule 7 after a new belt: 24 to 72 running hours."""

    due_hours: float = number(24.0, "h", (1, 1000), "retension after 24 to 48 h", CONFIRMED)
    overdue_hours: float = number(72.0, "h", (1, 1000))
    settled_hours: float = number(20.0, "h", (0, 1000))
    least_days: int = number(1, "d", GRACE_RANGE)
    blind_due_days: int = number(3, "d", GRACE_RANGE)
    blind_overdue_days: int = number(7, "d", GRACE_RANGE)

    def __post_init__(self) -> None:
        super().__post_init__()
        _in_order(self.due_hours, self.overdue_hours, "hours after a new belt")
        _in_order(self.blind_due_days, self.blind_overdue_days, "days after a new belt")


@dataclass(frozen=True)
class NewMachine(Group):
    """Rule 7 after a machine was replaced."""

    start_up_days: int = number(2, "d", GRACE_RANGE)
    second_days: int = number(30, "d", DAY_RANGE)
    second_settled_days: int = number(14, "d", GRACE_RANGE)
    grace_days: int = number(4, "d", GRACE_RANGE)


@dataclass(frozen=True)
class StormOrPower(Group):
    """Rule 7 after a storm or a power event."""

    due_days: int = number(3, "d", GRACE_RANGE)
    overdue_days: int = number(7, "d", GRACE_RANGE)

    def __post_init__(self) -> None:
        super().__post_init__()
        _in_order(self.due_days, self.overdue_days, "days after a storm or power event")


@dataclass(frozen=True)
class FailureOdds(Group):
    """Rule 8."""

    least_losses: int = number(2, "losses", (1, 100))
    prior_a_year: float = number(0.3, "1/year", (0.001, 50))
    prior_shape: float = number(1.0, "", (0.05, 100))
    class_fans: int = number(30, "fans", (2, 100_000))
    class_failures: int = number(10, "failures", (1, 100_000))
    preventable_share: float = number(0.6, "", (0.01, 1))
    odds: float = number(0.10, "preventable failures", (0.001, 1))
    least_days: int = number(14, "d", DAY_RANGE)
    grace_days: int = number(14, "d", GRACE_RANGE)


@dataclass(frozen=True)
class OutOfService(Group):
    """The restart check of a fan made safe."""

    restart_days: int = number(7, "d", GRACE_RANGE)
    grace_days: int = number(3, "d", GRACE_RANGE)


@dataclass(frozen=True)
class Onboarding(Group):
    """How a fleet new to us is spread over its first weeks."""

    weeks: int = number(6, "weeks", (1, 52))
    grace_days: int = number(14, "d", GRACE_RANGE)


@dataclass(frozen=True)
class DueParams(Group):
    """All of them, a group per rule.  ``overridden`` takes dotted names; ``settings`` lists all.

    Raises ParameterError where a number leaves its interval or two of them contradict each other.
    """

    walk: WalkThrough = field(default_factory=WalkThrough)
    code: CodeInspection = field(default_factory=CodeInspection)
    hours: RunningHours = field(default_factory=RunningHours)
    grease: GreaseLoad = field(default_factory=GreaseLoad)
    level: VibrationLevel = field(default_factory=VibrationLevel)
    step: VibrationStep = field(default_factory=VibrationStep)
    trend: VibrationTrend = field(default_factory=VibrationTrend)
    follow_up: FollowUp = field(default_factory=FollowUp)
    cleaning: HoodCleaning = field(default_factory=HoodCleaning)
    belt: NewBelt = field(default_factory=NewBelt)
    machine: NewMachine = field(default_factory=NewMachine)
    storm: StormOrPower = field(default_factory=StormOrPower)
    odds: FailureOdds = field(default_factory=FailureOdds)
    out_of_service: OutOfService = field(default_factory=OutOfService)
    onboarding: Onboarding = field(default_factory=Onboarding)


def _in_order(due: float, overdue: float, what: str) -> None:
    if overdue < due:
        raise ParameterError(
            f"{what}: overdue after {overdue:g} comes before due {due:g}; swap them"
        )
