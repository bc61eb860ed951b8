"""The application as it is served, with the bench's own addresses beside it."""

from django.conf import settings

from config.wsgi import application as application

settings.ROOT_URLCONF = "schedules.bench.urls"
