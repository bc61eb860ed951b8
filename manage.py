#!/usr/bin/env python
"""Run Roofround's commands: `manage.py help` lists them."""

import os
import sys

from config.command_line import run

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    run(sys.argv)
