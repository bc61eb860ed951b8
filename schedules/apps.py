"""The schedules app: what is due, why, and who goes where."""

from django.apps import AppConfig


class SchedulesConfig(AppConfig):
    name = "schedules"
    default_auto_field = "django.db.models.BigAutoField"
