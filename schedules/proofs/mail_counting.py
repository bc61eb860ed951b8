"""What a mail server took, held against what was owed; pure counting."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise


@dataclass
class Acceptance:
    """One message that a server took at ``at_s``, on a clock of its own, having been told its
    addressee at ``begun_s``.

    ``gone_on_s`` is when the sender's next command came on the same connection, None if it never
    did.  A sender goes on only once it has noted the message as sent; until then the message lies
    in the window between the server's yes and our note: whoever dies or hangs there is followed by
    another who sends it again, under the same Message-ID.
    """

    message_id: str
    to: str
    at_s: float
    gone_on_s: float | None = None
    begun_s: float = 0.0


@dataclass(frozen=True)
class MailCount:
    """Messages owed and taken.

    ``explained`` are duplicates of a message whose sender had not gone on; ``unexplained`` are
    Message-IDs sent again after their sender had, ``at_once`` those that two senders had in hand
    together, ``missing`` those never taken, ``strangers`` those that nobody was owed or that went
    to another address.
    """

    owed: int
    arrived: int
    distinct: int
    duplicates: int
    explained: int
    missing: tuple[str, ...]
    unexplained: tuple[str, ...]
    at_once: tuple[str, ...]
    strangers: tuple[str, ...]

    def complaints(self) -> list[str]:
        """A sentence for each claim that does not hold."""
        told = {
            "never arrived": self.missing,
            "came again although noted as sent": self.unexplained,
            "were in two senders' hands at once": self.at_once,
            "came and were owed to nobody there": self.strangers,
        }
        return [
            f"{len(ids)} notices {what}, such as {ids[0]}." for what, ids in told.items() if ids
        ]


BEFORE_S = 1.0
"""A message taken so shortly before an outage may not have been noted any more."""


def count_mail(
    owed: Mapping[str, str],
    taken: Iterable[Acceptance],
    outages: Sequence[tuple[float, float]] = (),
    apart_s: float = 0.0,
) -> MailCount:
    """Hold what was taken against ``owed``, addresses by Message-ID.

    ``outages`` are when the database could note nothing: a sender then goes on all the same.
    Between two attempts at the same message at least ``apart_s`` must pass.
    """

    def may_follow(first: Acceptance, again: Acceptance) -> bool:
        out = any(begin - BEFORE_S <= first.at_s <= end for begin, end in outages)
        return out or first.gone_on_s is None or again.at_s < first.gone_on_s

    by_id: dict[str, list[Acceptance]] = defaultdict(list)
    for each in sorted(taken, key=lambda each: each.at_s):
        by_id[each.message_id].append(each)
    arrived = sum(map(len, by_id.values()))
    unexplained = [
        name
        for name, copies in by_id.items()
        for first, again in pairwise(copies)
        if not may_follow(first, again)
    ]
    at_once = [
        name
        for name, copies in by_id.items()
        for first, again in pairwise(sorted(each.begun_s for each in copies))
        if again - first < apart_s
    ]
    strangers = [
        name for name, copies in by_id.items() if {each.to for each in copies} != {owed.get(name)}
    ]
    return MailCount(
        owed=len(owed),
        arrived=arrived,
        distinct=len(by_id),
        duplicates=arrived - len(by_id),
        explained=arrived - len(by_id) - len(unexplained),
        missing=tuple(sorted(owed.keys() - by_id.keys())),
        unexplained=tuple(unexplained),
        at_once=tuple(at_once),
        strangers=tuple(strangers),
    )
