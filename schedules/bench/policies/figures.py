"""The policies side by side, over worlds and seeds, and whether the engine does what it should."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from scipy import stats

from schedules.bench.policies.dates import NO_CHANGES
from schedules.bench.policies.runs import DATED, NAMES, Tally, run_policy
from schedules.bench.policies.slips import SIGHTS
from schedules.bench.world.assumptions import WORLDS, Assumptions
from schedules.bench.world.luck import MODES, drawn
from schedules.engine.record import RULES

WEEKS = 156
LEVEL = 0.95
FEWER_WANTED_PERCENT = {"rough": 40.0, "coastal": 40.0, "felt": 40.0, "sparse": 0.0}
SHARE_OF_VISITS_WANTED = 0.5
Tell = Callable[[str], object]
Interval = tuple[float, float] | None


@dataclass(frozen=True)
class PolicyFigures:
    """One policy in one world; rates per fan and year, intervals of 95 % over the seeds.

    ``fewer_than_fixed_percent``: avoidable failures against fixed rounds with as many visits,
    between those that were run; None outside them.
    """

    world: str
    name: str
    visits_per_fan_year: float
    failures_per_fan_year: float
    avoidable_per_fan_year: float
    visits_interval: Interval
    failures_interval: Interval
    avoidable_interval: Interval
    fewer_than_fixed_percent: float | None
    failures_by_mode: dict[str, float]
    visits_by_rule: dict[str, float] = field(default_factory=dict)
    useful_visits_by_rule: dict[str, float] = field(default_factory=dict)
    last_seen_before_failure: dict[str, dict[str, int]] = field(default_factory=dict)


@dataclass(frozen=True)
class Aim:
    """What was wanted of the engine in a world, and what came of it; None: not on its curve."""

    world: str
    what: str
    wanted: float | None
    found: float | None
    interval: Interval
    met: bool | None


@dataclass(frozen=True)
class Figures:
    """What ``bench policy`` gives."""

    fans: int
    weeks: int
    seeds: tuple[int, ...]
    settings: dict[str, float]
    policies: tuple[PolicyFigures, ...]
    aims: tuple[Aim, ...]


def measure_policies(
    *,
    worlds: Sequence[str],
    seeds: Sequence[int],
    fans: int,
    tell: Tell,
    weeks: int = WEEKS,
    settings: Mapping[str, float] = NO_CHANGES,
    names: Sequence[str] = NAMES,
) -> Figures:
    """Run every policy in every world with every seed, the engine with other ``settings``.

    Aims are told where all of ``NAMES`` run.  Raises ValueError for a name that is no policy,
    ParameterError for a setting nobody knows or a value outside its interval.
    """
    found: list[PolicyFigures] = []
    aims: list[Aim] = []
    for world in worlds:
        runs = [
            tallies(WORLDS[world], seed, fans, weeks, tell, world, names, settings)
            for seed in seeds
        ]
        found += [_figures(world, name, runs) for name in runs[0]]
        aims += aims_of(world, runs) if set(NAMES) <= set(names) else []
    return Figures(fans, weeks, tuple(seeds), dict(settings), tuple(found), tuple(aims))


def tallies(
    a: Assumptions,
    seed: int,
    fans: int,
    weeks: int,
    tell: Tell,
    about: str,
    names: Sequence[str],
    settings: Mapping[str, float] = NO_CHANGES,
) -> dict[str, Tally]:
    """These policies, and perfect knowledge, in one world with one seed."""
    luck = drawn(seed, fans, weeks)
    done = {}
    for name in dict.fromkeys((*names, "perfect")):
        done[name] = run_policy(name, a, luck, settings)
        tell(f"{about}, seed {seed}, {name}: {done[name].visits_per_fan_year:.2f} visits")
    return done


def avoidable(run: Mapping[str, Tally], name: str) -> float:
    """Failures per fan and year above those that perfect knowledge has."""
    return run[name].failures_per_fan_year - run["perfect"].failures_per_fan_year


def curve(run: Mapping[str, Tally], kind: str) -> tuple[np.ndarray, np.ndarray]:
    """Visits (rising) and avoidable failures of the policies whose names begin so."""
    names = [name for name in run if name.startswith(kind)]
    visits = np.array([run[name].visits_per_fan_year for name in names])
    order = np.argsort(visits)
    return visits[order], np.array([avoidable(run, name) for name in names])[order]


def between(at: float, x: np.ndarray, y: np.ndarray) -> float | None:
    """Linear between points of a curve; None outside of it."""
    return float(np.interp(at, x, y)) if len(x) and x[0] <= at <= x[-1] else None


def fewer_than_fixed_percent(run: Mapping[str, Tally], name: str) -> float | None:
    """How many fewer avoidable failures than fixed rounds with as many visits [%]."""
    fixed = between(run[name].visits_per_fan_year, *curve(run, "fixed"))
    return None if not fixed else 100 * (1 - avoidable(run, name) / fixed)


def aims_of(world: str, runs: Sequence[Mapping[str, Tally]]) -> list[Aim]:
    """Fewer avoidable failures at the eight-week round's visits; the four-week round's at half."""
    fewer = [_fewer_at_eight(run) for run in runs]
    share = [_share_of_four(run) for run in runs]
    wanted = FEWER_WANTED_PERCENT.get(world)
    return [
        _aim(world, "percent fewer at the visits of fixed 8", wanted, fewer, at_least=True),
        _aim(
            world, "share of the visits of fixed 4 for its failures", SHARE_OF_VISITS_WANTED, share,
            at_least=False,
        ),
    ]  # fmt: skip


def _fewer_at_eight(run: Mapping[str, Tally]) -> float | None:
    here = between(run["fixed 8"].visits_per_fan_year, *curve(run, "engine"))
    return None if here is None else 100 * (1 - here / avoidable(run, "fixed 8"))


def _share_of_four(run: Mapping[str, Tally]) -> float | None:
    visits, failures = curve(run, "engine")
    order = np.argsort(failures)
    at = between(avoidable(run, "fixed 4"), failures[order], visits[order])
    return None if at is None else at / run["fixed 4"].visits_per_fan_year


def _aim(
    world: str, what: str, wanted: float | None, found: list[float | None], *, at_least: bool
) -> Aim:
    known = [each for each in found if each is not None]
    mean = float(np.mean(known)) if len(known) == len(found) else None
    met = None
    if wanted is not None:
        met = mean is not None and (mean >= wanted if at_least else mean <= wanted)
    return Aim(world, what, wanted, mean, _interval(known) if mean is not None else None, met)


def _interval(values: Sequence[float]) -> Interval:
    if len(values) < 2:
        return None
    half = stats.t.ppf((1 + LEVEL) / 2, len(values) - 1) * stats.sem(values)
    return float(np.mean(values) - half), float(np.mean(values) + half)


def _figures(world: str, name: str, runs: Sequence[Mapping[str, Tally]]) -> PolicyFigures:
    own = [run[name] for run in runs]
    years = sum(tally.fan_years for tally in own)
    visits = [tally.visits_per_fan_year for tally in own]
    failures = [tally.failures_per_fan_year for tally in own]
    saved = [avoidable(run, name) for run in runs]
    fewer = [fewer_than_fixed_percent(run, name) for run in runs]
    known = [each for each in fewer if each is not None]
    engine = name.startswith(DATED)
    return PolicyFigures(
        world=world, name=name,
        visits_per_fan_year=float(np.mean(visits)),
        failures_per_fan_year=float(np.mean(failures)),
        avoidable_per_fan_year=float(np.mean(saved)),
        visits_interval=_interval(visits), failures_interval=_interval(failures),
        avoidable_interval=_interval(saved),
        fewer_than_fixed_percent=(
            float(np.mean(known)) if engine and len(known) == len(fewer) else None
        ),
        failures_by_mode=_rates(MODES, [tally.failures for tally in own], years),
        visits_by_rule=_rates(RULES, [tally.by_rule for tally in own], years),
        useful_visits_by_rule=_rates(RULES, [tally.useful_by_rule for tally in own], years),
        last_seen_before_failure=_slips(own),
    )  # fmt: skip


def _rates(names: Sequence[str], counts: Sequence[np.ndarray], years: float) -> dict[str, float]:
    total = np.sum(counts, axis=0)
    return {name: n / years for name, n in zip(names, total.tolist(), strict=True) if n}


def _slips(own: Sequence[Tally]) -> dict[str, dict[str, int]]:
    counts = [tally.slips for tally in own if tally.slips is not None]
    if not counts:
        return {}
    total = np.sum(counts, axis=0).tolist()
    return {
        mode: dict(zip(SIGHTS, row, strict=True))
        for mode, row in zip(MODES, total, strict=True)
        if any(row)
    }
