"""What keeps an install from storing anything, as far as it is not our fault, and what to say.

A disk that is full, a database that may only be read or does not answer: whoever sent something is
told that nothing was stored and when to try again, whoever runs the place finds the cause in the
log.
"""

from __future__ import annotations

import errno
from dataclasses import dataclass

from django.db import DatabaseError, InterfaceError
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _


@dataclass(frozen=True)
class Trouble:
    """A status of HTTP, a code for programs, words for people, and when to try again."""

    status: int
    code: str
    title: Promise | str
    sentence: Promise | str
    wait_s: int


BUSY = Trouble(
    503,
    "busy",
    _("Busy just now"),
    _("Somebody else is storing much at this moment. Nothing was stored; send it again soon."),
    10,
)
FULL = Trouble(
    507,
    "no_room",
    _("No room left"),
    _(
        "The disk here is full. Nothing was stored; keep what you have, and tell whoever runs this "
        "service to make room."
    ),
    300,
)
READ_ONLY = Trouble(
    503,
    "read_only",
    _("Nothing can be stored now"),
    _(
        "Here one can only read at this moment. Nothing was stored; keep what you have, and send "
        "it again later. If that lasts, tell whoever runs this service."
    ),
    120,
)
UNREACHABLE = Trouble(
    503,
    "unreachable",
    _("The database does not answer"),
    _(
        "The database does not answer at this moment. Send it again in a minute; nothing is stored "
        "twice."
    ),
    30,
)
BY_ERRNO = {
    errno.ENOSPC: FULL, errno.EDQUOT: FULL, errno.EFBIG: FULL,
    errno.EROFS: READ_ONLY, errno.EACCES: READ_ONLY, errno.EPERM: READ_ONLY,
}  # fmt: skip
BY_SQLSTATE = {
    "53100": FULL,
    "25006": READ_ONLY,
    "53300": UNREACHABLE,
    "57P0": UNREACHABLE,
    "08": UNREACHABLE,
}
"""PostgreSQL's error codes or how they begin (its manual, appendix A)."""

BY_SQLITE_NAME = {
    "SQLITE_BUSY": BUSY, "SQLITE_FULL": FULL, "SQLITE_READONLY": READ_ONLY,
    "SQLITE_CANTOPEN": READ_ONLY, "SQLITE_IOERR": FULL,
}  # fmt: skip
"""SQLite's result codes or how they begin; an I/O error of it is a write that found no room, most
often, as of the file beside the database that it cannot grow."""


def trouble_of(error: BaseException | None) -> Trouble | None:
    """What trouble an error tells of; None where it is a fault of ours."""
    if isinstance(error, (DatabaseError, InterfaceError)):
        return _of_database(error)
    if isinstance(error, OSError):
        return BY_ERRNO.get(error.errno or 0)
    return None


def _of_database(error: Exception) -> Trouble | None:
    cause = error.__cause__
    if name := getattr(cause, "sqlite_errorname", ""):
        return _beginning(BY_SQLITE_NAME, name)
    if state := getattr(cause, "sqlstate", None):
        return _beginning(BY_SQLSTATE, state)
    # PostgreSQL's driver gives no code where the server was never heard or fell silent.
    return UNREACHABLE if "connection" in str(error) else None


def _beginning(known: dict[str, Trouble], code: str) -> Trouble | None:
    return next((trouble for begin, trouble in known.items() if code.startswith(begin)), None)
