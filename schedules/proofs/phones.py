"""Phones that send each visit until it is taken, and somebody who looks at pages all the while."""

from __future__ import annotations

import http.client
import json
import threading
import time
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

TAKEN = (200, 201)
AGAIN_S = 0.2
PATIENCE_S = 30
BUSY = 503


@dataclass
class Answers:
    """How often each status came, over all who ask; ``unasked`` are 503 that name no time."""

    statuses: Counter[int] = field(default_factory=Counter)
    unnamed: int = 0
    cut_off: int = 0
    taken: set[str] = field(default_factory=set)

    def complaints(self) -> list[str]:
        """A sentence for each claim that does not hold."""
        wrong = {s: n for s, n in self.statuses.items() if s not in (*TAKEN, BUSY)}
        told = [f"{count} answers were {status}." for status, count in sorted(wrong.items())]
        if self.unnamed:
            told.append(f"{self.unnamed} answers of 503 had no Retry-After.")
        return told


@dataclass
class Caller(threading.Thread):
    """One connection, opened again where it broke."""

    port: int
    headers: Mapping[str, str]
    answers: Answers
    stopped: threading.Event

    def __post_init__(self) -> None:
        super().__init__(daemon=True)
        self._link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE_S)

    def ask(self, method: str, path: str, body: Mapping[str, Any] | None = None) -> int:
        """The status; 0 where the connection broke."""
        try:
            data = json.dumps(body) if body else None
            self._link.request(method, path, data, dict(self.headers))
            answer = self._link.getresponse()
            answer.read()
        except (OSError, http.client.HTTPException):
            self._link.close()
            self.answers.cut_off += 1
            return 0
        self.answers.statuses[answer.status] += 1
        self.answers.unnamed += answer.status == BUSY and not answer.headers["Retry-After"]
        return answer.status


@dataclass
class Phone(Caller):
    """Sends visits one after another, each again and again until it is taken."""

    visits: Sequence[Mapping[str, Any]]

    def run(self) -> None:
        for visit in self.visits:
            while not self.stopped.is_set():
                if self.ask("POST", "/api/v1/visits", visit) in TAKEN:
                    self.answers.taken.add(visit["id"])
                    break
                time.sleep(AGAIN_S)

    __hash__ = threading.Thread.__hash__


@dataclass
class Looker(Caller):
    """Opens these addresses in turn until told to stop."""

    paths: Sequence[str]

    def run(self) -> None:
        while not self.stopped.is_set():
            for path in self.paths:
                self.ask("GET", path)
            time.sleep(0.05)

    __hash__ = threading.Thread.__hash__
