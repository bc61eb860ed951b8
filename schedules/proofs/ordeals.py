"""Senders kept waiting beyond their lease at the two moments where they must notice it."""

from __future__ import annotations

import asyncio
import time
from dataclasses import dataclass, field

SLOW_LEASES = 1.6
"""How long a caller waits for the greeting (RFC 5321, 4.5.3.2.1, lets it be minutes): meanwhile
others have sent what it took up."""
MOST_LEASES, ENDING_LEASES = 3.0, 0.5
"""How long a text waits for another sender at the same message, and that one until the first has
heard what became of it; so long does one who was greeted late need to show what it does."""
NOT_NOW = "451 4.3.0 not now"
NEVER = "554 5.4.7 this took too long"


@dataclass
class _Held:
    """A text without an answer; ``again`` once another sender is at the same message."""

    again: asyncio.Event = field(default_factory=asyncio.Event)
    heard: asyncio.Event = field(default_factory=asyncio.Event)
    since_s: float = field(default_factory=time.monotonic)


@dataclass
class Ordeals:
    """What a server does to senders whose lease is ``lease_s``: to the last of so many ``callers``
    and ``texts``, each; without a lease nothing.

    ``slept`` callers were greeted too late for what they had taken up; ``overtaken`` senders heard
    a last no while another had their message in hand, which must not end it.
    """

    lease_s: float = 0.0
    callers: int = 1
    texts: int = 1
    slept: int = 0
    overtaken: int = 0
    _called: int = 0
    _told: int = 0
    _waiting: int = 0
    _held: dict[str, _Held] = field(default_factory=dict)

    @property
    def at_work(self) -> bool:
        """Whether anybody waits, or just did, of whom nothing is proved should they be killed."""
        return bool(self._waiting or self._held)

    @property
    def is_calm(self) -> bool:
        """Whether nothing else may go wrong, lest it hide what a late greeting brings about."""
        return self._waiting > 0

    async def greet(self) -> None:
        """Before the greeting: now and then longer than a lease lasts."""
        self._called += 1
        if self.lease_s and self._called % self.callers == 0:
            self._waiting += 1
            await asyncio.sleep(SLOW_LEASES * self.lease_s)
            self.slept += 1
            loop = asyncio.get_running_loop()
            loop.call_later(ENDING_LEASES * self.lease_s, self._awoke)

    def _awoke(self) -> None:
        self._waiting -= 1

    async def meet(self, address: str) -> None:
        """A sender names the addressee of its message; of one that is held it waits its turn.

        Whoever comes within a lease may have slept through its own: then the message is still in
        the hand of its first sender, whom a last no would end it for.
        """
        held = self._held.get(address)
        if held is not None:
            await asyncio.sleep(max(0.0, held.since_s + self.lease_s - time.monotonic()))
            held.again.set()
            await _within(held.heard, ENDING_LEASES * self.lease_s)

    async def hold(self, address: str) -> str:
        """The answer to a text: none in particular, or a no that comes too late to count."""
        self._told += 1
        if not self.lease_s or self._held or self._told % self.texts:
            return ""
        held = self._held[address] = _Held()
        if await _within(held.again, MOST_LEASES * self.lease_s):
            self.overtaken += 1
            return NEVER
        self.let_go(address)
        return NOT_NOW

    def let_go(self, address: str) -> None:
        """The sender of a held text went on, or is gone: it has heard."""
        held = self._held.pop(address, None)
        if held is not None:
            held.heard.set()


async def _within(event: asyncio.Event, seconds: float) -> bool:
    try:
        await asyncio.wait_for(event.wait(), seconds)
    except TimeoutError:
        return False
    return True
