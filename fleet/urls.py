"""Pages of the fleet app."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
