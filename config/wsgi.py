"""The WSGI application that web servers load."""

import gc
import os
from importlib import import_module

from django.conf import settings
from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")

application = get_wsgi_application()

# Else the first request waits for all pages to be loaded.
import_module(settings.ROOT_URLCONF)
# What is loaded stays, and need not be looked through for rubbish.
gc.freeze()
