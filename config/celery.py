"""The Celery app: worker processes start from here; without Redis its tasks run in place."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")

app = Celery("roofround")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
