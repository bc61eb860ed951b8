"""Addresses of the register's part of the API."""

from __future__ import annotations

from django.urls import path

from fleet.api.keys import KeyListView, KeyView

urlpatterns = [
    path("keys", KeyListView.as_view(), name="keys"),
    path("keys/<uuid:id>", KeyView.as_view(), name="key"),
]
