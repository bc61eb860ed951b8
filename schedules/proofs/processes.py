"""Processes of a proof's own, killed and replaced while they work, and ended with it."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from random import Random

from django.conf import settings

POLL_S = 0.05
HAND = ("manage.py", "prove", "--skip-checks", "hand")
"""What a crew runs: its code is ours, which Django has checked before it starts them."""


class Crew:
    """So many processes of one program, each in a group of its own."""

    def __init__(self, words: Sequence[str], count: int, about: Mapping[str, str]) -> None:
        self.at_work = [_start(words, about) for _ in range(count)]

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


class ForkedCrew:
    """So many workers forked from one process, which replaces at once whoever is killed.

    A program that starts anew takes seconds to load everything, and one killed each second would
    keep the machine at that instead of at work.  ``words`` tell each worker's id on a line.
    """

    def __init__(self, words: Sequence[str], about: Mapping[str, str]) -> None:
        self.kills = self.hangs = 0
        self.at_work: list[int] = []
        self._parent = _start(words, about, subprocess.PIPE)
        self._births = threading.Thread(target=self._note_births, daemon=True)
        self._births.start()

    def _note_births(self) -> None:
        for line in self._parent.stdout or ():
            self.at_work.append(int(line))

    def kill_one(self, rng: Random) -> None:
        """SIGKILL one of them."""
        process_id = rng.choice(self.at_work)
        self.at_work.remove(process_id)
        os.kill(process_id, signal.SIGKILL)
        self.kills += 1

    def hang_one(self, rng: Random, for_s: float) -> None:
        """SIGSTOP one of them, and let it go on so much later unless it was killed meanwhile."""
        process_id = rng.choice(self.at_work)
        os.kill(process_id, signal.SIGSTOP)
        threading.Timer(for_s, self._go_on, (process_id,)).start()
        self.hangs += 1

    def _go_on(self, process_id: int) -> None:
        if process_id in self.at_work:
            with suppress(ProcessLookupError):
                os.kill(process_id, signal.SIGCONT)

    def stop(self) -> None:
        """Kill them all."""
        self.at_work.clear()
        _kill(self._parent)
        self._births.join()


def _start(
    words: Sequence[str], about: Mapping[str, str], output: int = subprocess.DEVNULL
) -> subprocess.Popen[bytes]:
    told = {**os.environ, "DJANGO_SETTINGS_MODULE": "config.settings", **about}
    return subprocess.Popen(  # noqa: S603  # our own programs
        [sys.executable, *words], env=told, cwd=settings.BASE_DIR, start_new_session=True,
        stdout=output, stderr=subprocess.DEVNULL,
    )  # fmt: skip


def _kill(process: subprocess.Popen[bytes]) -> None:
    """With all that it has started."""
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


@contextmanager
def forked_crew(words: Sequence[str], about: Mapping[str, str]) -> Iterator[ForkedCrew]:
    """A forked crew with these environment variables, gone afterwards."""
    hands = ForkedCrew(words, about)
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
