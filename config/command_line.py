"""Runs a command; what keeps it from running is said in a sentence, with exit code 1."""

from __future__ import annotations

import sys
from collections.abc import Sequence

from django.core.exceptions import ImproperlyConfigured
from django.core.management import execute_from_command_line
from django.db import DatabaseError, InterfaceError

from config.trouble import trouble_of

NO_TABLES = "42P01"
REMEDIES = {
    "disk is full": "Make room there and run it again.",
    "No space left on device": "Make room there and run it again.",
    "disk I/O error": "Make room on that disk, or see whether it is sound; then run it again.",
    "readonly database": "Make the database file and its folder writable.",
    "read-only transaction": "Use the server that takes writing, or have this one take it.",
    "unable to open database file": "Check DATABASE_URL or DATA_DIR, and who may write there.",
    "not a database": "Check DATABASE_URL or DATA_DIR: that file is something else.",
    "malformed": "Put back a backup of it.",
    "database is locked": "Another process is writing to it; try again when that has ended.",
    "no such table": "Run: manage.py migrate",
    "failed to resolve host": "Check the host in DATABASE_URL, and that this machine knows it.",
    "connection": "Check DATABASE_URL, and that its server runs.",
}
"""By what the database says; everything else is a fault of ours and shows its traceback."""


def run(arguments: Sequence[str]) -> None:
    """Run ``manage.py``'s command; ``--traceback`` shows where trouble came from."""
    try:
        execute_from_command_line(list(arguments))
    except (ImproperlyConfigured, DatabaseError, InterfaceError, OSError) as error:
        sentence = sentence_for(error)
        if not sentence or "--traceback" in arguments:
            raise
        sys.exit(sentence)


def sentence_for(error: Exception) -> str:
    """What is wrong around us and what to do about it; nothing where the fault is our own."""
    if isinstance(error, ImproperlyConfigured):
        return str(error)
    if isinstance(error, OSError):
        where = f": {error.filename}" if error.filename else ""
        remedy = "Make room there, or see who may write there, and run it again."
        return f"Nothing can be written ({error.strerror}{where}). {remedy}" * bool(
            trouble_of(error)
        )
    told = "no such table" if _state(error) == NO_TABLES else str(error)
    remedy = next((remedy for said, remedy in REMEDIES.items() if said in told), "")
    said = str(error).strip().partition("\n")[0]
    return remedy and f"The database cannot be used ({said}). {remedy}"


def _state(error: Exception) -> str:
    return getattr(error.__cause__, "sqlstate", None) or ""
