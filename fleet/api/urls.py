"""Addresses of the register's part of the API."""

from __future__ import annotations

from django.urls import path, register_converter

from fleet.api import (
    blockers,
    calendars,
    contacts,
    fans,
    machines,
    owners,
    people,
    sites,
    supplied,
    systems,
)
from fleet.api.keys import KeyListView, KeyView

register_converter(calendars.DayConverter, "day")

CALENDAR = "systems/<int:id>"
urlpatterns = [
    path("keys", KeyListView.as_view(), name="keys"),
    path("keys/<any_uuid:id>", KeyView.as_view(), name="key"),
    path("people", people.PersonListView.as_view()),
    path("people/<int:id>", people.PersonView.as_view()),
    path("owners", owners.OwnerListView.as_view()),
    path("owners/<int:id>", owners.OwnerView.as_view(), name="api_owner"),
    path("agreements", owners.AgreementListView.as_view()),
    path("agreements/<int:id>", owners.AgreementView.as_view(), name="api_agreement"),
    path("sites", sites.SiteListView.as_view()),
    path("sites/<int:id>", sites.SiteView.as_view(), name="api_site"),
    path("blockers", blockers.BlockerListView.as_view()),
    path("blockers/<int:id>", blockers.BlockerView.as_view(), name="api_blocker"),
    path("contacts", contacts.ContactListView.as_view()),
    path("contacts/<int:id>", contacts.ContactView.as_view(), name="api_contact"),
    path("supplied", supplied.SuppliedFanListView.as_view()),
    path("supplied/<int:id>", supplied.SuppliedFanView.as_view(), name="api_supplied_fan"),
    path("systems", systems.SystemListView.as_view()),
    path("systems/<int:id>", systems.SystemView.as_view(), name="api_system"),
    path(f"{CALENDAR}/cooking/<day:day>", calendars.CookingView.as_view()),
    path(f"{CALENDAR}/hours/<day:day>", calendars.RunningHoursView.as_view()),
    path(f"{CALENDAR}/expected-cleanings/<day:day>", calendars.ExpectedCleaningView.as_view()),
    path(f"{CALENDAR}/closed-days", calendars.ClosedDaysView.as_view()),
    path(f"{CALENDAR}/closed-days/<day:day>", calendars.ClosedDayView.as_view()),
    path("fans", fans.FanListView.as_view()),
    path("fans/<int:id>", fans.FanView.as_view(), name="api_fan"),
    path("fans/<int:id>/machines", machines.FanMachinesView.as_view()),
    path("machines", machines.MachineListView.as_view()),
    path("machines/<int:id>", machines.MachineView.as_view(), name="api_machine"),
]
