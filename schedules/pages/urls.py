"""Addresses of the due list, of sites, bookings and fans, imports, notices and what runs."""

from __future__ import annotations

from django.urls import path

from schedules.pages.bookings import book_page, move_page, withdraw_page
from schedules.pages.calendar import calendar, calendar_page, calendars_page
from schedules.pages.done.page import done_file, done_page
from schedules.pages.done.stops import done_stops, say_why
from schedules.pages.due_list import due_list
from schedules.pages.fan import fan_page
from schedules.pages.import_page import import_page
from schedules.pages.leaving import leave_page
from schedules.pages.metrics import metrics
from schedules.pages.notices import (
    notice_html,
    notice_list,
    notice_page,
    try_address_again,
)
from schedules.pages.owner.answer import owner_advice
from schedules.pages.owner.entering import open_link
from schedules.pages.owner.page import owner_page, owner_photo, owner_receipt
from schedules.pages.owner.running import running_page, running_receipt
from schedules.pages.owner.visit import owner_visit, owner_visit_receipt
from schedules.pages.owner_links import ask_running, end_links, hand_over_link, note_answer
from schedules.pages.patterns.counts import counts_page
from schedules.pages.patterns.one import close_page, pattern_page
from schedules.pages.patterns.page import patterns_page
from schedules.pages.phone.labels import labels_file, labels_page
from schedules.pages.phone.shell import round_manifest, round_page, round_words, round_worker
from schedules.pages.plates import plates_page
from schedules.pages.replacing import replacement_page, supplied_page
from schedules.pages.sites import site_list, site_page
from schedules.pages.status import let_parked_go, status_page
from schedules.pages.travel import forget_ways, travel_gaps, travel_page
from schedules.pages.week.changing import change_week
from schedules.pages.week.files import week_map, week_table
from schedules.pages.week.page import week_asked, week_now, week_page
from schedules.pages.week.sheets import round_sheet, week_sheets

urlpatterns = [
    path("", due_list, name="due_list"),
    path("sites/", site_list, name="site_list"),
    path("sites/plates/", plates_page, name="plates_page"),
    path("sites/<int:site_id>/", site_page, name="site_page"),
    path("sites/<int:site_id>/labels/", labels_page, name="labels_page"),
    path("sites/<int:site_id>/labels.pdf", labels_file, name="labels_file"),
    path("sites/<int:site_id>/bookings", book_page, name="book"),
    path("bookings/<uuid:booking_id>/move", move_page, name="move_booking"),
    path("bookings/<uuid:booking_id>/withdraw", withdraw_page, name="withdraw_booking"),
    path("fans/<int:fan_id>/", fan_page, name="fan_page"),
    path("fans/<int:fan_id>/replacement/", replacement_page, name="replacement_page"),
    path("fans/<int:fan_id>/supplied/", supplied_page, name="supplied_page"),
    path("week/", week_now, name="week_now"),
    path("week/<str:week>/", week_page, name="week_page"),
    path("week/<str:week>/asked", week_asked, name="week_asked"),
    path("week/<str:week>/change", change_week, name="change_week"),
    path("week/<str:week>/rounds.csv", week_table, name="week_table"),
    path("week/<str:week>/rounds.geojson", week_map, name="week_map"),
    path("calendar/", calendars_page, name="calendars_page"),
    path("calendar/<int:person_id>/", calendar_page, name="calendar_page"),
    path("week/<str:week>/rounds/", week_sheets, name="week_sheets"),
    path("week/<str:week>/round/<int:technician>/<str:day>/", round_sheet, name="round_sheet"),
    path("round/", round_page, name="round_page"),
    path("round/fan/<int:fan_id>/", round_page, name="round_fan_page"),
    path("round/sw.js", round_worker, name="round_worker"),
    path("round/manifest.webmanifest", round_manifest, name="round_manifest"),
    path("round/words/<str:language>.json", round_words, name="round_words"),
    path("travel/", travel_page, name="travel_page"),
    path("travel/gaps.csv", travel_gaps, name="travel_gaps"),
    path("travel/forget", forget_ways, name="forget_ways"),
    path("done/", done_page, name="done"),
    path("done/stops/", done_stops, name="done_stops"),
    path("done/stops/<str:week>/<uuid:key>/why", say_why, name="say_why"),
    path("done/planned.csv", done_file, name="done_file"),
    path("patterns/", patterns_page, name="patterns"),
    path("patterns/counts/<str:by>/", counts_page, name="failure_counts"),
    path("patterns/<int:pattern_id>/", pattern_page, name="pattern_page"),
    path("patterns/<int:pattern_id>/close", close_page, name="close_pattern"),
    path("import/", import_page, name="import_page"),
    path("notices/", notice_list, name="notice_list"),
    path("notices/try-again", try_address_again, name="try_address_again"),
    path("notices/<int:notice_id>/", notice_page, name="notice_page"),
    path("notices/<int:notice_id>/drawn", notice_html, name="notice_html"),
    # k/ as in all addresses that hold a key: config/redaction.py keeps them out of logs
    path("leave/k/<str:token>", leave_page, name="leave"),
    path("calendar/k/<str:token>.ics", calendar, name="calendar"),
    path("k/<str:token>", open_link, name="owner_link"),
    path("o/", owner_page, name="owner_page"),
    path("o/advice/<uuid:advice_id>/", owner_advice, name="owner_advice"),
    path("o/answers/<uuid:decision_id>/", owner_receipt, name="owner_receipt"),
    path("o/visits/<int:site_id>/", owner_visit, name="owner_visit"),
    path("o/visits/answers/<uuid:answer_id>/", owner_visit_receipt, name="owner_visit_receipt"),
    path("o/photos/<uuid:photo_id>/<str:size>", owner_photo, name="owner_photo"),
    path("running/", running_page, name="running_page"),
    path("status/", status_page, name="status_page"),
    path("status/let-go", let_parked_go, name="let_parked_go"),
    path("metrics", metrics, name="metrics"),
    path("running/told/", running_receipt, name="running_receipt"),
    path("sites/<int:site_id>/link", hand_over_link, name="hand_over_link"),
    path("sites/<int:site_id>/end-links", end_links, name="end_links"),
    path("sites/<int:site_id>/visit-answer", note_answer, name="note_answer"),
    path("sites/<int:site_id>/ask-running", ask_running, name="ask_running"),
]
