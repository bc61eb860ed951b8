"""Addresses under which people log and ask for dates."""

from __future__ import annotations

from django.urls import path

from schedules.api.batch import BatchView
from schedules.api.visits import ClosingView, DecisionView, LogEventView, LogVisitView

urlpatterns = [
    path("visits", LogVisitView.as_view(), name="visits"),
    path("visits/batch", BatchView.as_view(), name="visits_batch"),
    path("events", LogEventView.as_view(), name="events"),
    path("decisions", DecisionView.as_view(), name="decisions"),
    path("closings", ClosingView.as_view(), name="closings"),
]
