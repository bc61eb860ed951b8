"""How often fans of a class fail, fitted over the fleet and kept; whom a new fit touches."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np
from django.db.models import Count
from numpy.typing import NDArray

from config.collisions import in_one_transaction
from schedules import engine
from schedules.due.calendars import CalendarBook
from schedules.due.histories import parts, rebuild_missing
from schedules.due.reading import Blocks, fan_blocks
from schedules.due.truth import CLASS_COLUMNS
from schedules.engine.failure_odds import CLASSES, DAYS_A_YEAR
from schedules.engine.parameters import DueParams, FailureOdds
from schedules.models import FailureClass
from schedules.revisions import lock_in_order, raise_kept
from visits.models import Finding

KEPT_DIGITS = 3
"""More move dates from week to week and say nothing."""

Counted = NDArray[np.int64]
"""Class, losses and days under watch of fans, shape (fans, 3)."""


@dataclass(frozen=True)
class Fitted:
    """What a fit found, class by class, and how many fans are to be reckoned again for it."""

    classes: tuple[FailureClass, ...]
    touched: int


def fit_failure_classes(*, now: datetime, params: DueParams = DueParams()) -> Fitted:  # noqa: B008
    """Fit each class to the fans on record, keep what changed and mark the fans whose dates do.

    Marked are fans with losses enough for a date; should that break off, the next fit goes on.
    """
    counted = _counted(params)
    found = [_fit(place, counted, params.odds, now) for place in range(len(CLASSES))]
    _keep(found)
    untold = list(FailureClass.objects.filter(is_told=False))
    blocks = fan_blocks() if untold else ()
    touched = sum(_mark(ids, params.odds.least_losses, now) for ids in blocks)
    for each in untold:
        # as it was read: another fit may have changed it meanwhile, and marks fans itself
        same = {name: getattr(each, name) for name in CLASS_COLUMNS}
        FailureClass.objects.filter(**same).update(is_told=True)
    return Fitted(tuple(FailureClass.objects.order_by("drive")), touched)


def _counted(params: DueParams) -> Counted:
    """What the packed histories of all fans say; those that do not hold are built anew."""
    told, last, book = [np.empty((0, 3), np.int64)], 0, CalendarBook()
    with Blocks(params, only_stale=False) as blocks:
        while stored := blocks.after(last):
            last = stored.fan_ids[-1]
            rebuild_missing(stored, params, book)
            for _, columns in parts(stored):
                names = ("failure_class", "failure_count", "failure_watched")
                told.append(np.array([columns[name] for name in names], np.int64).T)
    return np.concatenate(told)


def _fit(place: int, counted: Counted, rule: FailureOdds, now: datetime) -> FailureClass:
    """One class; a fan that nobody has watched yet says nothing."""
    _, losses, days = counted[(counted[:, 0] == place) & (counted[:, 2] > 0)].T
    row = FailureClass(
        drive=CLASSES[place], fans=len(losses), failures=int(losses.sum()), fitted_on=now.date()
    )
    if row.fans >= rule.class_fans and row.failures >= rule.class_failures:
        law = engine.gamma_poisson(losses, days / DAYS_A_YEAR)
        row.shape, row.mean_a_year = _kept(law.prior_shape), _kept(law.prior_mean)
    return row


def _kept(value: float) -> float:
    return float(f"{value:.{KEPT_DIGITS}g}")


@in_one_transaction
def _keep(found: Sequence[FailureClass]) -> None:
    """Write the classes that differ from what is kept."""
    kept: Mapping[str, FailureClass] = FailureClass.objects.in_bulk()
    for row in found:
        before = kept.get(row.drive)
        if before and all(getattr(before, n) == getattr(row, n) for n in CLASS_COLUMNS):
            continue
        # no date rests on a class that neither was a law nor is one
        was_none = before is None or (before.shape is None and before.is_told)
        row.is_told = row.shape is None and was_none
        row.save()


@in_one_transaction
def _mark(fan_ids: list[int], least_losses: int, now: datetime) -> int:
    """Raise the revisions of those with so many losses on record, told twice or not; how many.

    All are held first: a visit that was being logged as the class changed may have brought a fan
    its last loss, and reckoned it by the old law.
    """
    lock_in_order(fan_ids)
    rows = Finding.objects.losses().filter(fan__in=fan_ids)
    often = rows.order_by().values("fan").annotate(count=Count("pk"))
    ids = often.filter(count__gte=least_losses).values_list("fan", flat=True)
    return raise_kept(sorted(ids), now)
