"""The Celery app: worker processes start from here; without Redis its tasks run in place."""

import os

from celery import Celery
from celery.signals import setup_logging
from kombu.transport.redis import QoS

from config.logs import keep_our_lines

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")

setup_logging.connect(keep_our_lines)
app = Celery("roofround")
app.Task.Request = "config.broker_away:PatientRequest"
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["schedules.jobs"])
# Closing a lost connection, kombu would give back over it what is in hand, and end the worker where
# that fails.  The timetable hands out again whatever was not done.
QoS.restore_at_shutdown = False
