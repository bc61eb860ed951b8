"""Addresses of the due list and of sites."""

from __future__ import annotations

from django.urls import path

from schedules.pages.due_list import due_list
from schedules.pages.sites import site_list, site_page

urlpatterns = [
    path("", due_list, name="due_list"),
    path("sites/", site_list, name="site_list"),
    path("sites/<int:site_id>/", site_page, name="site_page"),
]
