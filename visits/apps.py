"""The visits app: what was seen and done, append-only."""

from django.apps import AppConfig


class VisitsConfig(AppConfig):
    """The record: needs the register, knows nothing of schedules."""

    name = "visits"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Connect the receivers."""
        from visits import receivers  # noqa: F401, PLC0415
