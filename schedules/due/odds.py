"""What rule 8 knows of fans, and what stands open on them: read from their packed histories."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from schedules.due.calendars import CalendarBook
from schedules.due.histories import parts, rebuild_missing
from schedules.due.reading import stored_of
from schedules.engine.codes import ACT, STOP, WATCH
from schedules.engine.failure_odds import CLASSES, DAYS_A_YEAR
from schedules.engine.failures import hazards
from schedules.engine.parameters import DueParams
from schedules.engine.rule import Columns
from schedules.engine.waiting import Odds
from schedules.models import FailureClass, WaitingFigure

SHARE = "share"
"""Name of the figure that is no factor of a state."""
LIFE_SHAPE, LIFE_SCALE = "life_shape", "life_scale_years"
"""Names of the figures of machines' lives, as ``KeepParams`` has them."""


@dataclass(frozen=True)
class Figures:
    """Figures in force by name: learned ones as kept, defaults for the rest."""

    learned: Mapping[str, WaitingFigure] = field(default_factory=dict)

    def of(self, name: str) -> float:
        """A factor by its state's name, or the preventable share."""
        row = self.learned.get(name)
        return row.figure if row else float(getattr(hazards.DEFAULT_HAZARDS, name))


@dataclass(frozen=True)
class FanOdds:
    """One fan: days it failed on, years under watch, its class's law, what stands open on it.

    ``class_fans`` is 0 where the law is the assumed one; ``state`` is a name of the engine's
    ``STATES``.
    """

    losses: int
    years: float
    drive: str
    shape: float
    mean_a_year: float
    class_fans: int
    state: str


def read_figures() -> Figures:
    """What this fleet's record has taught; one statement."""
    return Figures({row.name: row for row in WaitingFigure.objects.filter(is_learned=True)})


def odds_of(fan_ids: Collection[int], params: DueParams = DueParams()) -> Mapping[int, FanOdds]:  # noqa: B008
    """By fan; two statements, and one more where packed histories are missing."""
    stored = stored_of(sorted(fan_ids), params)
    if stored is None:
        return {}
    laws = {row.drive: row for row in FailureClass.objects.exclude(shape=None)}
    rebuild_missing(stored, params, CalendarBook())
    found: dict[int, FanOdds] = {}
    for places, columns in parts(stored):
        names = ("failure_count", "failure_watched", "failure_class")
        told = zip(
            places.tolist(), *(columns[name].tolist() for name in names), _states(columns),
            strict=True,
        )  # fmt: skip
        for at, losses, days, place, state in told:
            law = laws.get(CLASSES[place])
            found[stored.fan_ids[at]] = FanOdds(
                losses, days / DAYS_A_YEAR, CLASSES[place],
                *(
                    (law.shape or 1.0, law.mean_a_year or 1.0, law.fans) if law
                    else (params.odds.prior_shape, params.odds.prior_a_year, 0)
                ),
                state,
            )  # fmt: skip
    return found


def engine_odds(known: Sequence[FanOdds], figures: Figures) -> Odds:
    """The same of many fans as the engine takes it."""
    factor = {state: figures.of(state) for state in hazards.STATES}
    return Odds(
        [each.shape for each in known],
        [each.mean_a_year for each in known],
        [factor[each.state] for each in known],
    )


def state_of(worst: int, worst_but_shaking: int) -> str:
    """Name of the state, or "stop": from the worst verdict open and the worst but vibration."""
    level = {WATCH: "watch", ACT: "act", STOP: "stop"}.get(worst, hazards.STATES[0])
    is_shaking = worst in (WATCH, ACT) and worst_but_shaking < worst
    return f"shaking_{level}" if is_shaking else level


def _states(columns: Columns) -> list[str]:
    """As things stand; a stop patched for the time being counts as something to act on."""
    worst, others = columns["worst_standing"], columns["finding_verdict"].max(axis=1)
    pairs = zip(np.minimum(worst, ACT).tolist(), np.minimum(others, ACT).tolist(), strict=True)
    return [state_of(*pair) for pair in pairs]
