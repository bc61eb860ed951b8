"""Pages of the schedules app."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
