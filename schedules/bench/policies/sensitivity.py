"""Each assumption half as large and half as large again: where the engine looks weakest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from schedules.bench.policies.figures import (
    WEEKS,
    Tell,
    avoidable,
    fewer_than_fixed_percent,
    tallies,
)
from schedules.bench.world.assumptions import WORLDS, standings

POLICY = "engine x2"
"""The point of the curve with the fewest visits, so among the fixed rounds in nearly all cases."""

ONLY = ("fixed 4", "fixed 8", "fixed 13", POLICY, "perfect")
FACTORS = (0.5, 1.5)


@dataclass(frozen=True)
class Case:
    """One assumption changed; ``fewer_than_fixed_percent`` as in the figures of policies."""

    assumption: str
    factor: float
    visits_per_fan_year: float
    avoidable_per_fan_year: float
    fewer_than_fixed_percent: float | None


@dataclass(frozen=True)
class Shaken:
    """All cases, the unchanged one first; ``weakest`` is where the engine does worst."""

    world: str
    fans: int
    weeks: int
    seeds: tuple[int, ...]
    policy: str
    cases: tuple[Case, ...]
    weakest: Case


def shake_out(
    *,
    world: str,
    seeds: Sequence[int],
    fans: int,
    tell: Tell,
    weeks: int = WEEKS,
    assumptions: Sequence[str] = (),
) -> Shaken:
    """Run the engine against fixed rounds with each assumption (or some) changed, one at a time.

    Raises ValueError for an assumption nobody made.
    """
    unknown = set(assumptions) - standings().keys()
    if unknown:
        raise ValueError(
            f"{', '.join(sorted(unknown))}: no assumption; there are {', '.join(standings())}"
        )
    names = assumptions or list(standings())
    changes = [("none", 1.0)] + [(name, factor) for name in names for factor in FACTORS]
    cases = [
        _case(world, name, factor, seeds=seeds, fans=fans, tell=tell, weeks=weeks)
        for name, factor in changes
    ]
    known = [case for case in cases if case.fewer_than_fixed_percent is not None]
    weakest = min(known or cases, key=lambda case: case.fewer_than_fixed_percent or 0.0)
    return Shaken(world, fans, weeks, tuple(seeds), POLICY, tuple(cases), weakest)


def _case(
    world: str,
    name: str,
    factor: float,
    *,
    seeds: Sequence[int],
    fans: int,
    tell: Tell,
    weeks: int,
) -> Case:
    usual = WORLDS[world]
    a = usual if name == "none" else usual.times(name, factor)
    runs = [tallies(a, seed, fans, weeks, lambda said: None, world, ONLY) for seed in seeds]
    fewer = [fewer_than_fixed_percent(run, POLICY) for run in runs]
    known = [each for each in fewer if each is not None]
    case = Case(
        name, factor,
        float(np.mean([run[POLICY].visits_per_fan_year for run in runs])),
        float(np.mean([avoidable(run, POLICY) for run in runs])),
        float(np.mean(known)) if len(known) == len(fewer) else None,
    )  # fmt: skip
    tell(f"{name} x{factor:g}: {case}")
    return case
