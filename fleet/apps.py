"""The fleet app: the register of owners, sites, systems, fans and machines."""

from django.apps import AppConfig


class FleetConfig(AppConfig):
    """The app as Django loads it."""

    name = "fleet"
    default_auto_field = "django.db.models.BigAutoField"
