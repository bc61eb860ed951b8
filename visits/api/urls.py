"""Addresses of the record's part of the API; lists that also take records are schedules'."""

from __future__ import annotations

from django.urls import path

from visits.api.events import EventView
from visits.api.judge import JudgeView
from visits.api.photo_changes import VisitPhotosView, WithdrawalView
from visits.api.photo_files import ImageView, ThumbnailView
from visits.api.photos import PhotoListView, PhotoView
from visits.api.terms import FailureTermsView
from visits.api.visits import VisitView

urlpatterns = [
    path("visits/<any_uuid:id>", VisitView.as_view(), name="visit"),
    path("visits/<any_uuid:visit>/photos", VisitPhotosView.as_view(), name="visit_photos"),
    path("photos", PhotoListView.as_view(), name="photos"),
    path("photos/<any_uuid:id>", PhotoView.as_view(), name="photo"),
    path("photos/<any_uuid:id>/image", ImageView.as_view(), name="photo_image"),
    path("photos/<any_uuid:id>/thumbnail", ThumbnailView.as_view(), name="photo_thumbnail"),
    path("photos/<any_uuid:id>/withdrawal", WithdrawalView.as_view(), name="photo_withdrawal"),
    path("judge", JudgeView.as_view(), name="judge"),
    path("failure-terms", FailureTermsView.as_view(), name="failure_terms"),
    path("events/<any_uuid:id>", EventView.as_view(), name="event"),
]
