"""Workers that outlive their broker: what kombu makes of a lost connection would end them."""

from __future__ import annotations

from typing import Any

from celery.worker.request import Request


class PatientRequest(Request):
    """A message that may be acknowledged after its connection is gone.

    Kombu then fails with an AttributeError, which Celery does not know for a lost connection.  The
    job is done and noted by then; the message, handed out again, finds that.
    """

    def __init__(self, *args: Any, **options: Any) -> None:
        known = options.get("connection_errors") or ()
        super().__init__(*args, **{**options, "connection_errors": (*known, AttributeError)})
