"""The schedules app: what is due, why, and who goes where."""

from django.apps import AppConfig


class SchedulesConfig(AppConfig):
    """Connects the receivers that raise revisions."""

    name = "schedules"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from schedules import receivers  # noqa: F401, PLC0415
