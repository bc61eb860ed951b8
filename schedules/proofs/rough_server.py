"""A mail server having a bad day: it refuses, hangs up anywhere, and is down for a while."""

from __future__ import annotations

import asyncio
import re
import threading
import time
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from email import message_from_bytes
from random import Random
from typing import NamedTuple

from schedules.proofs.mail_counting import Acceptance
from schedules.proofs.ordeals import Ordeals

FAULTS = {
    "RCPT": (("450 4.2.1 busy", 0.03), ("421 4.3.2 closing", 0.01), ("", 0.02)),
    "DATA": (("451 4.3.0 not now", 0.03), ("", 0.01)),
    "BODY": (("452 4.3.1 no room", 0.02), ("", 0.02)),
    "TAKEN": (("", 0.03),),
}
"""Answer and chance at two commands, in the text and once it has been taken; without an answer
the server hangs up (RFC 5321, 3.8 and 4.2.1)."""
MOST_FAULTS = 3
"""Of one message: after eight tries nobody tries again, and deaths take some of them."""
LONGEST_DELAY_S = 0.06
HANG_UP_CODE = "421"


class _HungUp(Exception):  # noqa: N818  # no error: the server's own whim
    """The server has ended this connection, as one of its whims."""


GONE = (_HungUp, OSError, TimeoutError, asyncio.IncompleteReadError, asyncio.CancelledError)


class _Envelope(NamedTuple):
    """To whom the message in hand is, and since when the server knows."""

    to: str = ""
    named_s: float = 0.0


@dataclass
class RoughServer:
    """What it has taken so far and how often it misbehaved; ``rng`` draws when, from ``whims``.

    Who says nothing for ``patience_s`` is hung up on, as any server does after some minutes.
    """

    rng: Random
    patience_s: float = 60.0
    ordeals: Ordeals = field(default_factory=Ordeals)
    whims: Mapping[str, Sequence[tuple[str, float]]] = field(default_factory=lambda: FAULTS)
    taken: list[Acceptance] = field(default_factory=list)
    faults: int = 0
    hung_up_after_taking: int = 0
    port: int = 0
    _wronged: Counter[str] = field(default_factory=Counter)
    _up: asyncio.Server | None = None
    _links: set[asyncio.StreamWriter] = field(default_factory=set)

    async def come_up(self) -> None:
        """Listen, on the same port as before."""
        self._up = await asyncio.start_server(self._serve, "127.0.0.1", self.port)
        self.port = self._up.sockets[0].getsockname()[1]

    async def go_down(self) -> None:
        """Refuse callers and drop those who are connected."""
        if self._up:
            self._up.close()
        for link in list(self._links):
            link.transport.abort()

    async def end(self) -> None:
        """Down for good, whoever is still being answered."""
        await self.go_down()
        others = asyncio.all_tasks() - {asyncio.current_task()}
        for task in others:
            task.cancel()
        await asyncio.gather(*others, return_exceptions=True)

    async def _serve(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        self._links.add(writer)
        try:
            await self._talk(reader, writer)
        except GONE:
            pass
        finally:
            self._links.discard(writer)
            writer.transport.abort()

    async def _talk(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        last: Acceptance | None = None
        envelope = _Envelope()
        await self.ordeals.greet()
        writer.write(b"220 rough.example\r\n")
        try:
            while line := await asyncio.wait_for(reader.readline(), self.patience_s):
                word = line[:4].decode("ascii", "replace").upper()
                self.ordeals.let_go(envelope.to)
                if last and word in ("MAIL", "QUIT"):
                    # The sender goes on only once it has noted the last one as sent.
                    last.gone_on_s, last = time.monotonic(), None
                if word == "DATA":
                    last = await self._take(envelope, reader, writer)
                elif word == "QUIT":
                    writer.write(b"221 bye\r\n")
                    return
                elif word == "RCPT":
                    envelope = _Envelope(_address_in(line), time.monotonic())
                    await self.ordeals.meet(envelope.to)
                    await self._answer(writer, self._draw("RCPT", envelope.to) or "250 fine")
                else:
                    await self._answer(writer, "250 fine")
        finally:
            self.ordeals.let_go(envelope.to)

    async def _take(
        self, envelope: _Envelope, reader: asyncio.StreamReader, writer: asyncio.StreamWriter
    ) -> Acceptance | None:
        """The text of one message; None where it was refused."""
        to = envelope.to
        if refusal := self._draw("DATA", to):
            await self._answer(writer, refusal)
            return None
        await self._answer(writer, "354 go on")
        refusal = self._draw("BODY", to)
        text = await asyncio.wait_for(reader.readuntil(b"\r\n.\r\n"), self.patience_s)
        if refusal := refusal or await self.ordeals.hold(to):
            await self._answer(writer, refusal)
            return None
        told = message_from_bytes(re.sub(rb"^\.\.", b".", text, flags=re.MULTILINE))
        taken = Acceptance(
            str(told["Message-ID"]), str(told["To"]), time.monotonic(), begun_s=envelope.named_s
        )
        self.taken.append(taken)
        # Here lies the window: taken, and the sender does not know yet.
        await self._pause()
        try:
            self._draw("TAKEN", to)
        except _HungUp:
            self.hung_up_after_taking += 1
            raise
        await self._answer(writer, "250 taken")
        return taken

    async def _answer(self, writer: asyncio.StreamWriter, text: str) -> None:
        await self._pause()
        writer.write(f"{text}\r\n".encode())
        await writer.drain()
        if text.startswith(HANG_UP_CODE):
            raise _HungUp

    async def _pause(self) -> None:
        await asyncio.sleep(self.rng.random() * LONGEST_DELAY_S)

    def _draw(self, moment: str, to: str) -> str:
        """What goes wrong now: an answer, nothing (""), or the line is dead.

        Nothing while that would hide something else, nor too often.
        """
        if self.ordeals.is_calm or self._wronged[to] >= MOST_FAULTS:
            return ""
        drawn = self.rng.random()
        for answer, chance in self.whims.get(moment, ()):
            drawn -= chance
            if drawn < 0:
                self._wronged[to] += 1
                self.faults += 1
                if not answer:
                    raise _HungUp
                return answer
        return ""


def _address_in(line: bytes) -> str:
    return line.partition(b"<")[2].partition(b">")[0].decode()


@contextmanager
def rough_server(
    rng: Random,
    whims: Mapping[str, Sequence[tuple[str, float]]] = FAULTS,
    patience_s: float = 60.0,
    ordeals: Ordeals | None = None,
) -> Iterator[tuple[RoughServer, asyncio.AbstractEventLoop]]:
    """A server in a thread of its own, with the loop it runs in; without ``whims`` a fair one,
    with ``ordeals`` one that keeps senders waiting beyond their lease.
    """
    loop = asyncio.new_event_loop()
    server = RoughServer(rng, patience_s, ordeals or Ordeals(), whims)
    thread = threading.Thread(target=loop.run_forever, name="rough server", daemon=True)
    thread.start()
    asyncio.run_coroutine_threadsafe(server.come_up(), loop).result()
    try:
        yield server, loop
    finally:
        asyncio.run_coroutine_threadsafe(server.end(), loop).result()
        loop.call_soon_threadsafe(loop.stop)
        thread.join()
        loop.close()
