"""Addresses of the due list, of sites and fans, and of imports."""

from __future__ import annotations

from django.urls import path

from schedules.pages.due_list import due_list
from schedules.pages.fan import fan_page
from schedules.pages.import_page import import_page
from schedules.pages.sites import site_list, site_page

urlpatterns = [
    path("", due_list, name="due_list"),
    path("sites/", site_list, name="site_list"),
    path("sites/<int:site_id>/", site_page, name="site_page"),
    path("fans/<int:fan_id>/", fan_page, name="fan_page"),
    path("import/", import_page, name="import_page"),
]
