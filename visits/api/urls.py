"""Addresses of the record's part of the API; lists that also take records are schedules'."""

from __future__ import annotations

from django.urls import path

from visits.api.events import EventView
from visits.api.judge import JudgeView
from visits.api.visits import VisitView

urlpatterns = [
    path("visits/<uuid:id>", VisitView.as_view(), name="visit"),
    path("judge", JudgeView.as_view(), name="judge"),
    path("events/<uuid:id>", EventView.as_view(), name="event"),
]
