"""Processes of a proof's own, killed and replaced while they work, and ended with it."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from random import Random

from django.conf import settings

POLL_S = 0.05


class Crew:
    """So many processes of one program, each in a group of its own; who is killed is replaced."""

    def __init__(self, words: Sequence[str], count: int, about: Mapping[str, str]) -> None:
        self._words = [sys.executable, *words]
        self._about = {**os.environ, "DJANGO_SETTINGS_MODULE": "config.settings", **about}
        self.kills = self.hangs = 0
        self.at_work = [self._start() for _ in range(count)]
        self._since = [time.monotonic()] * count

    def _start(self) -> subprocess.Popen[bytes]:
        return subprocess.Popen(  # noqa: S603  # our own programs
            self._words, env=self._about, cwd=settings.BASE_DIR, start_new_session=True,
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip

    def kill_one(self, rng: Random, older_than_s: float) -> bool:
        """SIGKILL one that is so old, if any, with its children, and put another in its place."""
        now = time.monotonic()
        old = [place for place, since in enumerate(self._since) if now - since > older_than_s]
        if old:
            place = rng.choice(old)
            _kill(self.at_work[place])
            self.kills += 1
            self.at_work[place], self._since[place] = self._start(), now
        return bool(old)

    def hang_one(self, rng: Random, for_s: float) -> None:
        """SIGSTOP one of them, with its children, and let it go on so much later."""
        process = rng.choice(self.at_work)
        self._signal(process, signal.SIGSTOP)
        threading.Timer(for_s, self._signal, (process, signal.SIGCONT)).start()
        self.hangs += 1

    @contextmanager
    def all_hung(self) -> Iterator[None]:
        """None of them does anything meanwhile."""
        for process in self.at_work:
            self._signal(process, signal.SIGSTOP)
        try:
            yield
        finally:
            for process in self.at_work:
                self._signal(process, signal.SIGCONT)

    def _signal(self, process: subprocess.Popen[bytes], number: signal.Signals) -> None:
        if process.poll() is None:
            os.killpg(process.pid, number)

    def died(self) -> int:
        """How many have ended by themselves."""
        return sum(process.poll() is not None for process in self.at_work)

    def stop(self) -> None:
        """Kill them all."""
        for process in self.at_work:
            _kill(process)


def _kill(process: subprocess.Popen[bytes]) -> None:
    if process.poll() is None:
        os.killpg(process.pid, signal.SIGKILL)
    process.wait()


@contextmanager
def crew(words: Sequence[str], count: int, about: Mapping[str, str]) -> Iterator[Crew]:
    """A crew with these environment variables, gone afterwards."""
    hands = Crew(words, count, about)
    try:
        yield hands
    finally:
        hands.stop()


def wait_for(done: Callable[[], bool], patience_s: float) -> bool:
    """Whether it is done within so long; asked again and again."""
    end = time.monotonic() + patience_s
    while not done():
        if time.monotonic() > end:
            return False
        time.sleep(POLL_S)
    return True
