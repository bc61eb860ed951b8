"""Files that appear whole or not at all: on a full disk nothing of them is left."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

EVERYBODY, OWNER_ONLY = 0o666, 0o600
"""Who may read a file, as far as the process's umask lets them."""


@contextmanager
def whole_file(path: Path, *, mode: int = EVERYBODY) -> Iterator[IO[bytes]]:
    """A file to be written, which takes its name, and that of an older one, once it is on disk."""
    half = path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")
    try:
        descriptor = os.open(half, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode)
        with os.fdopen(descriptor, "wb") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        half.replace(path)
    finally:
        half.unlink(missing_ok=True)
