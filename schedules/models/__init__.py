"""Dates as reckoned, who is booked where, who is told what, and what runs by itself."""

from schedules.models.bookings import Booking, BookingQuerySet
from schedules.models.calendar_links import CalendarLink
from schedules.models.due import (
    RULE_CHOICES,
    DueChange,
    DueChangeQuerySet,
    DueState,
    DueStateQuerySet,
    FanHistory,
)
from schedules.models.failures import FailureClass, WaitingFigure
from schedules.models.jobs import Job, JobQuerySet
from schedules.models.notices import (
    Notice,
    NoticeQuerySet,
    RefusedAddress,
    Subscription,
    SubscriptionQuerySet,
    name_of,
)
from schedules.models.patterns import Pattern, PatternClosing, PatternQuerySet
from schedules.models.reasons import StopReason
from schedules.models.rounds import (
    DRAFT,
    AskedPlan,
    LeftOutFan,
    PlanChange,
    PlannedRound,
    PlannedStop,
    PlanVersion,
    StopFan,
    WeekPlan,
)
from schedules.models.tallies import FailureTally, FailureTallyQuerySet, FleetCurve
from schedules.models.travel import TravelPlace, TravelTime

__all__ = [
    "DRAFT",
    "RULE_CHOICES",
    "AskedPlan",
    "Booking",
    "BookingQuerySet",
    "CalendarLink",
    "DueChange",
    "DueChangeQuerySet",
    "DueState",
    "DueStateQuerySet",
    "FailureClass",
    "FailureTally",
    "FailureTallyQuerySet",
    "FanHistory",
    "FleetCurve",
    "Job",
    "JobQuerySet",
    "LeftOutFan",
    "Notice",
    "NoticeQuerySet",
    "Pattern",
    "PatternClosing",
    "PatternQuerySet",
    "PlanChange",
    "PlanVersion",
    "PlannedRound",
    "PlannedStop",
    "RefusedAddress",
    "StopFan",
    "StopReason",
    "Subscription",
    "SubscriptionQuerySet",
    "TravelPlace",
    "TravelTime",
    "WaitingFigure",
    "WeekPlan",
    "name_of",
]
