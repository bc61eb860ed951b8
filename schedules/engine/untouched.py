"""Which rules a change of the packed history leaves alone: their answers of before hold.

What a rule answers follows from its own fields, from those by which every date is placed, from
rule 1's where it reckons with the next walk-through, and from the hours of the calendar that
``calendar_key`` names; from nothing else, least of all from today.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import accumulate, pairwise
from typing import Any

import numpy as np

from schedules.engine import failure_odds, onboarding, restart, vibration, walk_through
from schedules.engine.history import ROOMS, history_dtype, room_of
from schedules.engine.rules import RULE_MODULES

BY_WALK = (vibration, failure_odds)
"""Rules that ask for ``Shared.walk``, beside rule 1 itself."""

WALK, AWAY = RULE_MODULES.index(walk_through), RULE_MODULES.index(restart)


def untouched(before: bytes, after: bytes) -> list[int]:
    """Places in RULE_MODULES of the rules that answer one fan's histories alike."""
    if len(before) != len(after):
        return []
    head, calendar, *own = _spans(room_of(len(after)))
    same = [before[span] == after[span] for span in own]
    if not same[AWAY] or any(before[span] != after[span] for span in (head, calendar)):
        return []
    return [
        place
        for place, rule in enumerate(RULE_MODULES)
        if same[place] and (same[WALK] or rule not in BY_WALK)
    ]


@lru_cache(maxsize=len(ROOMS))
def _spans(room: int) -> tuple[slice, ...]:
    """Where in a row stand version and onboarding, the calendar, and each rule's fields."""
    layout: Any = history_dtype(room)
    told = onboarding.fields(room), *(rule.fields(room) for rule in RULE_MODULES)
    widths = [np.dtype(list(fields)).itemsize for fields in told]
    ends = list(accumulate(widths, initial=layout["version"].itemsize))
    key, begin, *_ = layout.fields["calendar_key"]
    own = (slice(*each) for each in pairwise(ends[1:]))
    return slice(0, ends[1]), slice(begin, begin + key.itemsize), *own
