"""Addresses under which people log and ask for dates."""

from __future__ import annotations

from django.urls import path

from schedules.api.visits import LogVisitView

urlpatterns = [path("visits", LogVisitView.as_view(), name="visits")]
