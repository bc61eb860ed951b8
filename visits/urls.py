"""Pages of the visits app."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
