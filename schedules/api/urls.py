"""Addresses under which people log and ask for dates."""

from __future__ import annotations

from django.urls import path

from schedules.api.batch import BatchView
from schedules.api.bookings import BookingListView
from schedules.api.changes import ChangeListView
from schedules.api.counts import CrewsView, FailureCountsView, FailureCurveView
from schedules.api.done import DoneView, ReasonView, StopsView
from schedules.api.due import DueListView, DueView
from schedules.api.failures import FanFailuresView
from schedules.api.patterns import PatternClosingView, PatternListView, PatternView
from schedules.api.replacing import FanKeepingView, FanReplacementView
from schedules.api.round import (
    RoundFanView,
    RoundPersonView,
    RoundSitesView,
    RoundSiteView,
    RoundView,
)
from schedules.api.visits import ClosingView, DecisionView, LogEventView, LogVisitView
from schedules.api.weeks import WeekRoundsView

urlpatterns = [
    path("visits", LogVisitView.as_view(), name="visits"),
    path("visits/batch", BatchView.as_view(), name="visits_batch"),
    path("events", LogEventView.as_view(), name="events"),
    path("decisions", DecisionView.as_view(), name="decisions"),
    path("due", DueListView.as_view(), name="due"),
    path("due/<int:fan>", DueView.as_view(), name="due_of_fan"),
    path("fans/<int:fan>/failures", FanFailuresView.as_view(), name="fan_failures"),
    path("fans/<int:fan>/keeping", FanKeepingView.as_view(), name="fan_keeping"),
    path("fans/<int:fan>/replacement", FanReplacementView.as_view(), name="fan_replacement"),
    path("changes", ChangeListView.as_view(), name="changes"),
    path("bookings", BookingListView.as_view(), name="bookings"),
    path("weeks/<str:week>/rounds", WeekRoundsView.as_view(), name="week_rounds"),
    path("round", RoundView.as_view(), name="round_taken"),
    path("round/person", RoundPersonView.as_view(), name="round_person"),
    path("round/sites", RoundSitesView.as_view(), name="round_sites"),
    path("round/sites/<int:site>", RoundSiteView.as_view(), name="round_site"),
    path("round/fans/<int:fan>", RoundFanView.as_view(), name="round_fan"),
    path("done", DoneView.as_view(), name="done_figures"),
    path("done/stops", StopsView.as_view(), name="done_week"),
    path("reasons", ReasonView.as_view(), name="reasons"),
    path("patterns", PatternListView.as_view(), name="patterns"),
    path("patterns/<int:pk>", PatternView.as_view(), name="pattern"),
    path("patterns/<int:pk>/closing", PatternClosingView.as_view(), name="pattern_closing"),
    path("failures/counts", FailureCountsView.as_view(), name="failure_counts"),
    path("failures/curve", FailureCurveView.as_view(), name="failure_curve"),
    path("failures/crews", CrewsView.as_view(), name="failure_crews"),
    path("closings", ClosingView.as_view(), name="closings"),
]
