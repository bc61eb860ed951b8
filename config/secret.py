"""The embedded install's own secret key: made once, kept in its data folder."""

import os
import secrets
from pathlib import Path

from config.env import SettingError, keeping_files


def keep_secret_key(folder: Path) -> str:
    """Give the key stored under `folder`, writing one at the first call."""
    path = folder / "secret_key"
    with keeping_files(folder):
        if not path.exists():
            _write_once(path, secrets.token_urlsafe(50))
        return _read(path)


def _read(path: Path) -> str:
    try:
        key = path.read_text(encoding="ascii").strip()
    except UnicodeDecodeError:
        key = ""
    if not key:
        raise SettingError(
            f"{str(path)!r} holds no secret key. Put back a backup of it, or delete it: a new one "
            "is made, and everybody signs in again."
        )
    return key


def _write_once(path: Path, key: str) -> None:
    draft = path.with_name(f"{path.name}.{secrets.token_hex(4)}")
    descriptor = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        with os.fdopen(descriptor, "w", encoding="ascii") as file:
            file.write(key)
        # A hard link appears whole or not at all: two processes starting together agree.
        os.link(draft, path)
    except FileExistsError:
        pass
    finally:
        draft.unlink()
