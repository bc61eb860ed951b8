"""``serve`` itself, by a clock that a proof tells: ``python -m schedules.proofs.told_serve CLOCK``.

The clock is put in before anything of the product is loaded; the product knows nothing of it.  What
passes between machines, such as waiting for a browser or a cookie's age, keeps to real time.
"""

from __future__ import annotations

import os
import struct
import sys
from datetime import UTC, datetime
from pathlib import Path
from unittest.mock import patch

import django
from django.utils import timezone

from config.command_line import run

WAKE_S = 0.01
"""The timetable looks at the clock so often: told to move on, it does so at once."""
LAYOUT = struct.Struct("d")


class ToldClock:
    """It stands where it was told to, in all processes that read the same file."""

    def __init__(self, file: Path) -> None:
        self._file = os.open(file, os.O_RDWR | os.O_CREAT)

    def __call__(self) -> datetime:
        (seconds,) = LAYOUT.unpack(os.pread(self._file, LAYOUT.size, 0))
        return datetime.fromtimestamp(seconds, UTC)

    def tell(self, now: datetime) -> None:
        """From here on it is ``now``."""
        os.pwrite(self._file, LAYOUT.pack(now.timestamp()), 0)


if __name__ == "__main__":
    with patch.object(timezone, "now", ToldClock(Path(sys.argv[1]))):
        django.setup()
        with patch("schedules.jobs.waking.WAKE_S", WAKE_S):
            run(["manage.py", "serve", *sys.argv[2:]])
