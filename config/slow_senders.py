"""A request that comes drop by drop keeps its connection no longer than silence would.

Waitress closes a connection on which nothing comes for a while; one byte now and then was enough
to hold it.  Here what has come buys so much time only as it would take at a least speed.
"""

from __future__ import annotations

import time
from collections.abc import Mapping
from typing import Any

from waitress.channel import HTTPChannel
from waitress.server import BaseWSGIServer

LEAST_BYTES_S = 1_000
"""Our choice: a photo of the phone then has an hour, and 500 places cost who would hold them half
a megabyte a second."""


class PunctualChannel(HTTPChannel):  # type: ignore[misc]  # it tells no types
    """A connection whose last sign of life is no later than what came could account for."""

    began, came = 0.0, 0
    last_activity: float

    def received(self, data: bytes) -> bool:
        if self.request is None:
            self.began, self.came = time.time(), 0
        self.came += len(data)
        taken = bool(super().received(data))
        if self.request is not None:  # there is more of it to come
            self.last_activity = min(self.last_activity, self.began + self.came / LEAST_BYTES_S)
        return taken


def drop_slow_senders(channels: Mapping[int, Any]) -> None:
    """Have the servers of a map of channels mind how fast requests come in."""
    for each in channels.values():
        if isinstance(each, BaseWSGIServer):
            each.channel_class = PunctualChannel
