"""Keep an uploaded file between its dry run and its confirmation, for one session, for a while."""

from __future__ import annotations

import re
import secrets
import time
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings

from config.whole_files import OWNER_ONLY, whole_file

KEPT_S = 24 * 3600
TOKEN = re.compile(r"[A-Za-z0-9_-]{32}")


@dataclass(frozen=True)
class Upload:
    """A kept file: its token, the name its sender gave it, its bytes."""

    token: str
    name: str
    data: bytes


def keep(name: str, data: bytes) -> Upload:
    """Put the file aside under a token nobody can guess; throws out what has been kept too long."""
    folder = _folder()
    _throw_out_old(folder)
    token = secrets.token_urlsafe(24)
    with whole_file(folder / token, mode=OWNER_ONLY) as file:
        file.write(data)
    return Upload(token, name, data)


def take(token: str, name: str) -> Upload | None:
    """The file under that token, which stays kept; None if it is gone or never was."""
    if not TOKEN.fullmatch(token):
        return None
    try:
        return Upload(token, name, (_folder() / token).read_bytes())
    except FileNotFoundError:
        return None


def forget(token: str) -> None:
    """Delete the file under that token; one that is gone already is no error."""
    if TOKEN.fullmatch(token):
        (_folder() / token).unlink(missing_ok=True)


def _folder() -> Path:
    folder: Path = settings.DATA_DIR / "uploads"
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def _throw_out_old(folder: Path) -> None:
    oldest = time.time() - KEPT_S
    for path in folder.iterdir():
        if path.stat().st_mtime < oldest:
            path.unlink(missing_ok=True)
