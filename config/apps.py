"""The wiring as an app: brings the base templates and static files, the jobs and the checks."""

from django.apps import AppConfig
from django.core.checks import register

from config.celery import app as celery_app
from config.checks import (
    check_database,
    check_hosts,
    check_mail,
    check_metrics_token,
    check_production,
    check_public_url,
    check_secret_key,
    check_static_files,
)

CHECKS = (
    check_hosts, check_mail, check_metrics_token, check_public_url, check_secret_key,
    check_static_files,
)  # fmt: skip


class WiringConfig(AppConfig):
    """Registers the install checks and makes our Celery app the one tasks bind to."""

    name = "config"
    verbose_name = "wiring"

    def ready(self) -> None:
        """Register checks; bind tasks declared with `shared_task`."""
        celery_app.set_default()
        for check in CHECKS:
            register(check)
        register(check_database, deploy=True)
        register(check_production, deploy=True)
