"""What this fleet's record teaches of waiting: read look by look, learned, kept for prices."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from itertools import pairwise
from math import isfinite
from typing import Any

import numpy as np

from config.collisions import in_one_transaction
from fleet.failure_terms import SEEN_COMING, is_known, term_of
from fleet.models import Machine
from fleet.quantities import VERDICT_ORDER, item_of
from schedules.due.odds import LIFE_SCALE, LIFE_SHAPE, SHARE, state_of
from schedules.due.reading import fan_blocks
from schedules.due.records import verdicts_by_subject
from schedules.engine.failure_odds import CLASSES, DAYS_A_YEAR
from schedules.engine.failures.hazards import (
    DEFAULT_HAZARDS,
    STATES,
    HazardParams,
    Learned,
    Spans,
    hazard_factors,
    preventable_share,
)
from schedules.engine.failures.lifetimes import weibull
from schedules.engine.follow_up import OF_VIBRATION
from schedules.engine.parameters import FailureOdds
from schedules.models import FailureClass, WaitingFigure
from visits.losses import OF_FAN, Loss, once_each, read_losses
from visits.models import Action, Check, Finding
from visits.models.visits import superseded
from visits.services.past import MENDED

AT_FAULT = ("watch", "act", "stop")


@dataclass
class _Look:
    """How a visit left a fan: verdicts by subject, what it mended taken out."""

    day: int
    verdicts: dict[str, str]

    @property
    def state(self) -> str:
        """What is worst, as prices know it too."""
        worst = [VERDICT_ORDER[v] for v in self.verdicts.values() if v in AT_FAULT]
        others = [
            VERDICT_ORDER[v]
            for name, v in self.verdicts.items()
            if v in AT_FAULT and name not in OF_VIBRATION
        ]
        return state_of(max(worst, default=0), max(others, default=0))

    def shows(self, item: str) -> bool:
        """Whether that item was at fault."""
        return any(v in AT_FAULT and item_of(name) == item for name, v in self.verdicts.items())


@dataclass
class _Gathered:
    """Spans as they are read, and failures of which enough is told to say what showed."""

    fans: list[str] = field(default_factory=list)
    spans: list[tuple[int, int, float, float]] = field(default_factory=list)
    told: int = 0
    preventable: int = 0


def learn_hazards(
    *, now: datetime, params: HazardParams = DEFAULT_HAZARDS
) -> Sequence[WaitingFigure]:
    """Learn factors and share from all that is on record, and keep them, learned or not.

    Four statements for each block of fans; what is held in memory is one block and its spans.
    """
    words = {
        pk: {term_of(mechanism), term_of(cause)}
        for pk, mechanism, cause in Finding.objects.losses().values_list("pk", "mechanism", "cause")
    }
    losses: dict[int, list[Loss]] = defaultdict(list)
    for loss in once_each(read_losses()):
        losses[loss.fan].append(loss)
    gathered = _Gathered()
    for fans in fan_blocks():
        drives = dict(
            Machine.objects.filter(removed_on=None, fan__in=fans).values_list("fan_id", "drive")
        )
        for fan, looks in _looks(fans).items():
            drive = "belt" if drives.get(fan) == "belt" else CLASSES[0]
            _count(gathered, drive, looks, losses.get(fan, ()), words, params)
    rows = _rows(gathered, now, params)
    _keep(rows)
    return rows


def _looks(fans: Sequence[int]) -> Mapping[int, list[_Look]]:
    """By fan in time order, each visit's checks as one, with what still stands from the one before.

    Lasting faults, which no date rests on, are left out.
    """
    mended: dict[tuple[int, Any], set[str]] = defaultdict(set)
    work = Action.objects.filter(~superseded("visit"), fan__in=fans, kind__in=MENDED).order_by()
    for fan, visit, item in work.values_list("fan_id", "visit_id", "item"):
        mended[fan, visit].add(item_of(item))
    checks = Check.objects.filter(~superseded("visit"), fan__in=fans)
    # as found before as left
    ordered = checks.order_by("fan_id", "visit__began_at", "visit_id", "stage", "began_at")
    found: dict[int, list[_Look]] = defaultdict(list)
    before = None
    columns = ("fan_id", "visit_id", "visit__local_on", "judged", "lasting")
    for fan, visit, on, judged, lasting in ordered.values_list(*columns).iterator(2000):
        stands = found[fan][-1].verdicts if found[fan] else {}
        if before != (fan, visit):
            found[fan].append(_Look(on.toordinal(), {}))
        before = fan, visit
        done = mended.get(before, set())
        found[fan][-1].verdicts = {
            name: verdict
            for name, verdict in (stands | verdicts_by_subject(judged)).items()
            if name not in lasting and not {item_of(name), OF_FAN} & done
        }
    return found


def _count(
    gathered: _Gathered,
    drive: str,
    looks: Sequence[_Look],
    losses: Collection[Loss],
    words: Mapping[Any, set[str]],
    params: HazardParams,
) -> None:
    """One fan: its spans, each up to the next thing on record, and what its failures showed."""
    days = sorted({loss.day.toordinal() for loss in losses})
    place = len(gathered.fans)
    gathered.fans.append(drive)
    last = max([looks[-1].day, *days])
    # all time of a fan in one state at once: a fleet has millions of looks
    spans: dict[str, list[float]] = defaultdict(lambda: [0.0, 0])
    for look, until in pairwise([*looks, _Look(last, {})]):
        end = min(until.day, look.day + params.look_days)
        state = look.state
        if end > look.day and state in STATES:
            span = spans[state]
            span[0] += (end - look.day) / DAYS_A_YEAR
            span[1] += sum(1 for day in days if look.day < day <= end)
    for name, (years, failed) in spans.items():
        gathered.spans.append((place, STATES.index(name), years, failed))
    for loss in losses:
        day = loss.day.toordinal()
        before = [look for look in looks if day - params.look_days <= look.day < day]
        known = set(filter(is_known, words.get(loss.finding, ())))
        if known or before:
            showed = bool(known & SEEN_COMING) or bool(before and before[-1].shows(loss.item))
            gathered.told += 1
            gathered.preventable += showed


def _rows(gathered: _Gathered, now: datetime, params: HazardParams) -> list[WaitingFigure]:
    laws = FailureClass.objects.exclude(shape=None)
    usual = (FailureOdds().prior_shape, FailureOdds().prior_a_year)
    law_of = {row.drive: (row.shape or 0, row.mean_a_year or 0) for row in laws}
    shape, mean = np.array([law_of.get(drive, usual) for drive in gathered.fans]).reshape(-1, 2).T
    fan, state, years, failures = np.array(gathered.spans, float).reshape(-1, 4).T
    spans = Spans(fan.astype(int), state.astype(int), years, failures.astype(int))
    factors = hazard_factors(spans, shape, mean, params)
    share = preventable_share(gathered.preventable, gathered.told, params)
    return [*_told(STATES, factors, now), *_told((SHARE,), share, now), *_lives(now, params)]


def _lives(now: datetime, params: HazardParams) -> list[WaitingFigure]:
    """The law of machines' lives: those replaced, and those that still stand.

    Machines replaced before anything was on record are missing, so that lives rather look long.
    """
    rows = Machine.objects.values_list("installed_on", "removed_on")
    lives = [
        (((gone or now.date()) - came).days / DAYS_A_YEAR, gone) for came, gone in rows if came
    ]
    lives = [(years, gone) for years, gone in lives if years > 0]
    ended = sum(gone is not None for _, gone in lives)
    if ended < params.least_lives:
        return []
    law = weibull([years for years, _ in lives], [gone is not None for _, gone in lives])
    found = {
        LIFE_SHAPE: (law.shape, law.shape_lower, law.shape_upper),
        LIFE_SCALE: (law.scale, law.scale_lower, law.scale_upper),
    }
    return [
        WaitingFigure(
            name=name, seen=ended, of=len(lives), figure=float(f"{figure:.3g}"),
            lower=_number(lower), upper=_number(upper), is_learned=True, fitted_on=now.date(),
        )
        for name, (figure, lower, upper) in found.items()
        if isfinite(figure)
    ]  # fmt: skip


def _told(names: Sequence[str], learned: Learned, now: datetime) -> Iterator[WaitingFigure]:
    columns = (
        learned.seen, learned.of, learned.figure, learned.lower, learned.upper, learned.is_learned,
    )  # fmt: skip
    for name, *row in zip(names, *(each.tolist() for each in columns), strict=True):
        seen, of, figure, lower, upper, is_learned = row
        yield WaitingFigure(
            name=name, seen=seen, of=of, figure=float(f"{figure:.3g}"), lower=_number(lower),
            upper=_number(upper), is_learned=bool(is_learned), fitted_on=now.date(),
        )  # fmt: skip


def _number(value: float) -> float | None:
    return value if isfinite(value) else None


@in_one_transaction
def _keep(rows: Sequence[WaitingFigure]) -> None:
    for row in rows:
        row.save()
