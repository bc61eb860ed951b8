"""Log lines: one id for a request or job on each, JSON for machines or plain words, no secrets."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any
from uuid import uuid4

import structlog
from django.core.signals import request_finished
from django.dispatch import receiver
from django.http import HttpRequest, HttpResponse
from structlog.contextvars import bind_contextvars, clear_contextvars, merge_contextvars

from config.redaction import redact

HEADER = "X-Request-ID"
SANE = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{7,63}")
FIELDS = ("status_code", "count", "ranges", "seconds")
"""What a line may say beside its words; anything else a library hangs onto it stays out."""
URL_PASSWORD = re.compile(r"(://[^/\s:@]*:)[^/\s@]+@")
LONG_WORD = re.compile(r"(?=[\w-]*\d)[\w-]{40,}", re.ASCII)
NAMED = re.compile(
    r"""((?:password|passwd|secret|token|authorization|cookie|sessionid|csrf)\w*['"]?\s*[:=]\s*)"""
    r"""(?:(?:bearer|token|basic)\s+)?['"]?[^\s'",;&]+""",
    re.IGNORECASE,
)
HIDDEN = "[hidden]"

Answer = Callable[[HttpRequest], HttpResponse]


def name_request(answer: Answer) -> Answer:
    """Middleware: gives the request an id, the sender's where it is a sane one, and tells it."""

    def named(request: HttpRequest) -> HttpResponse:
        told = request.headers.get(HEADER, "")
        id_ = told if SANE.fullmatch(told) and told == hide_secrets(told) else uuid4().hex
        request.log_id = id_  # type: ignore[attr-defined]  # pages and problems tell it
        # Django logs a refusal after this has returned: the id stays until the request is over.
        clear_contextvars()
        bind_contextvars(request=id_)
        response = answer(request)
        response.headers[HEADER] = id_
        return response

    return named


@receiver(request_finished)
def forget_request(**_: Any) -> None:
    """What this thread says from now on is about no request."""
    clear_contextvars()


def hide_secrets(line: str) -> str:
    """The line without passwords in addresses, values named as secrets, and long random words.

    A word of 40 signs or more with a digit in it is a key, a session, a link's secret; ids of
    records and requests are shorter.
    """
    line = URL_PASSWORD.sub(rf"\1{HIDDEN}@", redact(line))
    return LONG_WORD.sub(HIDDEN, NAMED.sub(rf"\1{HIDDEN}", line))


def _as_text(_: Any, __: str, event: dict[str, Any]) -> str:
    """``2026-06-15T12:00:00Z warning schedules.jobs: words key=value``."""
    trouble = event.pop("exception", "")
    line = "{} {} {}: {}".format(*(event.pop(key) for key in ("timestamp", "level", "logger")),
                                 event.pop("event"))  # fmt: skip
    line = " ".join([line, *(f"{key}={value}" for key, value in event.items())])
    return f"{line}\n{trouble}" if trouble else line


def _hidden(_: Any, __: str, line: Any) -> str:
    return hide_secrets(str(line))


def logging_as(form: str) -> dict[str, Any]:
    """Django's LOGGING: every line to the terminal, as ``json`` or ``text``."""
    drawn = structlog.processors.JSONRenderer(ensure_ascii=False) if form == "json" else _as_text
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {
            "line": {
                "()": structlog.stdlib.ProcessorFormatter,
                "foreign_pre_chain": [
                    merge_contextvars,
                    structlog.stdlib.ExtraAdder(allow=FIELDS),
                    structlog.stdlib.add_logger_name,
                    structlog.stdlib.add_log_level,
                    structlog.processors.TimeStamper(fmt="iso", utc=True),
                ],
                "processors": [
                    structlog.stdlib.ProcessorFormatter.remove_processors_meta,
                    # frames only: what variables held may be somebody's password
                    structlog.processors.format_exc_info,
                    drawn,
                    _hidden,
                ],
            }
        },
        "handlers": {"terminal": {"class": "logging.StreamHandler", "formatter": "line"}},
        "root": {"handlers": ["terminal"], "level": "WARNING"},
        "loggers": {
            "django": {"handlers": [], "level": "WARNING", "propagate": True},
            # each job that did something, in a line
            "schedules.jobs": {"level": "INFO"},
            # Anybody may send any Host; each is answered 400 and tells us nothing.
            "django.security.DisallowedHost": {"level": "CRITICAL"},
            # A full queue is waitress's normal day under load, not news.
            "waitress.queue": {"level": "ERROR"},
        },
    }


def keep_our_lines(**_: Any) -> None:
    """Receiver of Celery's ``setup_logging``: with one it leaves the loggers as Django set them."""
