"""Checks as charts take them: with their day and judgements, each reading as a point."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from fleet.quantities import QUANTITIES
from schedules.charts import Limit, Point
from schedules.fan_page.typed import typed_text
from visits.limits import Judgement
from visits.models import Check
from visits.wording import STAGES, VERDICTS, figure, words

BAD = ("watch", "act", "stop")
OF_THE_ROOF = ("supply", "duct")
"""What stays when a machine is replaced."""
SAME_SPEED = 0.05
"""Speeds this close are one; as the dates reckon it."""


@dataclass(frozen=True)
class Seen:
    """A check with its local day and judgements."""

    day: int
    check: Check
    judgements: Sequence[Judgement]

    def args(self, subject: str, wanted: str) -> Mapping[str, Any]:
        """Figures of the subject's judgement where it has the one that is wanted."""
        mine = (each.args for each in self.judgements if each.subject == subject)
        return next((args for args in mine if wanted in args), {})

    def verdict(self, quantity: str) -> str:
        """The verdict that rests on this very reading; empty for one judged with others."""
        mine = (each.verdict for each in self.judgements if each.quantity == quantity)
        return next(mine, "")

    def point(self, quantity: str, value: float) -> Point:
        """A reading as a point; its verdict and, as left, its stage in words."""
        verdict, as_left = self.verdict(quantity), self.check.stage == "as_left"
        notes = [words(VERDICTS, verdict), words(STAGES, "as_left") if as_left else ""]
        qualified = bool(self.check.typed.get(quantity, {}).get("qualifier"))
        return Point(
            day=self.day,
            value=value,
            text=typed_text(self.check, quantity),
            note=", ".join(note for note in notes if note),
            is_loose=as_left or qualified,
            is_bad=verdict in BAD,
            machine=None if QUANTITIES[quantity].item in OF_THE_ROOF else self.check.machine_id,
        )


class Speeds:
    """Names the speeds at which readings were taken; one within 5 % of another is that one."""

    def __init__(self, plate_hz: float | None) -> None:
        self._plate_hz = plate_hz
        self._known = [plate_hz] if plate_hz else []

    def name(self, hz: float | None) -> str:
        """``30 Hz``; empty at the plate's speed and where nobody named one."""
        if not hz:
            return ""
        same = (each for each in self._known if abs(hz - each) <= SAME_SPEED * each)
        known = next(same, None)
        if known is None:
            self._known.append(hz)
            known = hz
        return "" if known == self._plate_hz else f"{known:g} Hz"


def shown(seen: Sequence[Seen], quantity: str) -> list[tuple[Seen, float]]:
    """Checks with a number for the quantity, in its own unit."""
    return [(one, value) for one in seen if (value := getattr(one.check, quantity)) is not None]


def unit_typed(seen: Sequence[Seen], quantity: str) -> str:
    """The unit in which a quantity was last typed."""
    units = (one.check.typed.get(quantity, {}).get("unit") for one in reversed(seen))
    return next((str(unit) for unit in units if unit), QUANTITIES[quantity].unit)


def limit(value: float, text: str, unit: str) -> Limit:
    """A limit named with its figure."""
    return Limit(value, f"{text} {figure(value, unit)}")
