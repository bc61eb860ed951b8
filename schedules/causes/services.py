"""Why fans failed: the causes that this fleet confirmed, and answers for losses on record."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from django.db.models import Q

from fleet.failure_terms import is_known, term_of
from fleet.models import Person
from fleet.quantities import item_of
from schedules.causes.gathering import Loss, day_failed, losses_of
from schedules.due.truth import Truth, read_truth
from schedules.engine.causes import WhyFailed, why_failed
from schedules.models import Pattern
from visits import losses as losses_told
from visits.models import Finding

SHOWN_DAYS = 365
"""Older losses without a cause stay on record; nobody looks for it any more.  Our choice."""
Confirmed = Mapping[str, Mapping[str, int]]
"""By item, how often each cause was written down."""


@dataclass(frozen=True)
class Explained:
    """A loss of function with what may have caused it."""

    loss: Loss
    why: WhyFailed


def confirmed_causes(items: Collection[str]) -> Confirmed:
    """Causes people recorded for failures of these items, in this fleet.

    A failure told twice counts once, by the cause that it or a call-back gave last: one statement,
    three where some may have been told twice.
    """
    losses: list[losses_told.Loss] = []
    told: dict[Any, tuple[str, str]] = {}
    for item, cause, call_back, *row in _with_causes(items):
        loss = losses_told.loss_of(row)
        failed = _called_back(loss, losses) if call_back else loss
        if not call_back:
            losses.append(loss)
        if failed and is_known(cause):
            told[failed.finding] = item, term_of(cause)
    counts: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for tellings in losses_told.each_told(each for each in losses if each.finding in told):
        item, cause = told[tellings[-1].finding]
        counts[item][cause] += 1
    return counts


def _with_causes(items: Collection[str]) -> Iterable[Any]:
    """Failures of these items with a cause, in order; all of fans whose call-back tells one."""
    standing = Finding.objects.standing().filter(item__in=set(items))
    called_back = standing.filter(call_back=True).exclude(cause="").values("fan")
    rows = standing.filter(Q(loss_of_function=True) | Q(call_back=True)).filter(
        ~Q(cause="") | Q(fan__in=called_back)
    )
    return rows.order_by("visit__began_at", "pk").values_list(
        "item", "cause", "call_back", *losses_told.COLUMNS
    )


def _called_back(
    told: losses_told.Loss, losses: Iterable[losses_told.Loss]
) -> losses_told.Loss | None:
    """The newest failure of that item of the fan before its call-back."""
    before = [each for each in losses if each[:2] == told[:2] and each.began_at <= told.began_at]
    return before[-1] if before else None


def losses_logged(truth: Truth, visit_id: Any) -> list[Loss]:
    """Losses of function that one visit logged, of all the fans that were read."""
    return [
        loss
        for fan in truth.fans
        for loss in losses_of(truth, fan, lambda row: row["visit_id"] == visit_id)
    ]


def open_losses(truth: Truth, today: date) -> list[Loss]:
    """Losses whose cause nobody recorded, of the last year and not closed: the newest by item."""
    first = today - timedelta(days=SHOWN_DAYS)
    newest: dict[tuple[int, str], Loss] = {}
    for fan in truth.fans:
        for loss in losses_of(truth, fan, lambda row: day_failed(row) > first):
            newest.setdefault((loss.fan_id, loss.item), loss)
    return [loss for loss in newest.values() if not loss.cause and not loss.closed]


def explain_losses(
    losses: Collection[Loss], confirmed: Confirmed, *, qualified: bool
) -> list[Explained]:
    """Each with its causes; live looks only for somebody ``qualified`` for energised work."""
    return [
        Explained(loss, _determined(loss) if loss.cause else _ranked(loss, confirmed, qualified))
        for loss in losses
    ]


def _determined(loss: Loss) -> WhyFailed:
    return WhyFailed(loss.item, (), 0.0)


def _ranked(loss: Loss, confirmed: Confirmed, qualified: bool) -> WhyFailed:
    return why_failed(loss.past, confirmed.get(loss.item), qualified=qualified)


def why_fan_failed(fan_id: int, *, today: date, reader: Person) -> list[Explained]:
    """What may have caused each open loss of function of a fan; three statements, one without any.

    A pattern that somebody closed with a cause ends the guessing for the failures it was closed on.
    Owners are told neither what to look at, which is our work, nor what other owners' fans had.
    """
    losses = open_losses(read_truth([fan_id]), today)
    closed = Pattern.objects.causes_closed_with(fan_id) if losses else {}
    losses = [
        loss for loss in losses if loss.found_on > closed.get(item_of(loss.item), ("", date.min))[1]
    ]
    if not losses:
        return []
    confirmed = confirmed_causes({loss.item for loss in losses})
    explained = explain_losses(losses, confirmed, qualified=reader.qualified_energised_work)
    return explained if reader.works_here else [_for_owner(each) for each in explained]


def _for_owner(explained: Explained) -> Explained:
    causes = tuple(replace(cause, confirmed=0) for cause in explained.why.causes)
    return replace(explained, why=replace(explained.why, causes=causes, looks=()))
