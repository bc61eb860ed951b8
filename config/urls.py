"""The site's addresses; each app brings its own."""

from django.contrib import admin
from django.contrib.auth.views import LoginView, LogoutView
from django.urls import URLPattern, URLResolver, include, path, re_path, register_converter

from config.api.addresses import AnyCaseUUID
from config.api.pages import ApiPage, NowhereView, SchemaView
from config.health import healthz, readyz

register_converter(AnyCaseUUID, "any_uuid")

handler500 = "config.busy.answer_fault"
api: list[URLPattern | URLResolver] = [
    path("", ApiPage.as_view(), name="api_page"),
    path("schema.json", SchemaView.as_view(), name="api_schema"),
    path("", include("schedules.api.urls")),
    path("", include("visits.api.urls")),
    path("", include("fleet.api.urls")),
    re_path("", NowhereView.as_view()),  # whatever is left, line breaks too
]
urlpatterns = [
    path("healthz", healthz, name="healthz"),
    path("readyz", readyz, name="readyz"),
    path("login/", LoginView.as_view(template_name="login.html"), name="login"),
    path("logout/", LogoutView.as_view(), name="logout"),
    path("admin/", admin.site.urls),
    path("api/v1/", include(api)),
    path("", include("schedules.urls")),
    path("", include("visits.urls")),
    path("", include("fleet.urls")),
]
