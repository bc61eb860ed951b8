"""Checks as charts take them: with their day and judgements, each reading as a point."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from fleet.quantities import QUANTITIES, VERDICT_ORDER
from schedules.charts import Limit, Point
from schedules.fan_page.readings import SHARED_READINGS
from schedules.fan_page.typed import read_with, reading_of, typed_text
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
        """The worst verdict that names this very reading; ``within`` where all read with it is."""
        taken = read_with(quantity)
        mine = [each for each in self.judgements if each.quantity in taken]
        named = [
            each.verdict
            for each in mine
            if each.quantity == quantity
            and not (each.subject in SHARED_READINGS and each.verdict == "within")
        ]
        if named:
            return worst_of(named)
        return "within" if mine and all(each.verdict == "within" for each in mine) else ""

    def point(self, quantity: str, value: float) -> Point:
        """A reading as a point; its verdict and, as left, its stage in words."""
        return self._point([quantity], value, self.verdict(quantity), typed_text)

    def point_of_all(self, quantities: Sequence[str], value: float) -> Point:
        """Readings taken together as one point, under the worst verdict on any of them."""
        told = [each.verdict for each in self.judgements if each.quantity in quantities]
        return self._point(quantities, value, worst_of(told), reading_of)

    def _point(
        self,
        quantities: Sequence[str],
        value: float,
        verdict: str,
        text_of: Callable[[Check, str], str],
    ) -> Point:
        first, as_left = quantities[0], self.check.stage == "as_left"
        notes = [words(VERDICTS, verdict), words(STAGES, "as_left") if as_left else ""]
        typed = (self.check.typed.get(quantity, {}) for quantity in quantities)
        return Point(
            day=self.day,
            value=value,
            text=text_of(self.check, first),
            note=", ".join(note for note in notes if note),
            is_loose=as_left or any(each.get("qualifier") for each in typed),
            is_bad=verdict in BAD,
            machine=None if QUANTITIES[first].item in OF_THE_ROOF else self.check.machine_id,
        )


def worst_of(verdicts: Sequence[str]) -> str:
    """The worst of some verdicts; empty for none."""
    return max(verdicts, key=VERDICT_ORDER.__getitem__, default="")


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
