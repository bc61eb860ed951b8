"""What a record that is sent again is answered with: what its first sender was told, as of now."""

from __future__ import annotations

from typing import Any

from fleet.models import Fan
from visits.judging import judge_stored, motors_of
from visits.models import (
    Action,
    Check,
    Closing,
    Decision,
    Event,
    Finding,
    MadeSafe,
    NotReached,
    Recommendation,
    Visit,
)
from visits.services.record import Recorded, RecordedVisit, cautions_of
from visits.services.rows import NewCheck

OF_FANS = (Check, Finding, Action, Recommendation, Decision, NotReached, MadeSafe)


def recall_visit(visit: Visit) -> RecordedVisit:
    """A stored visit with its checks judged and the fans it touches, in seven queries at most."""
    rows = list(visit.checks.order_by("pk"))
    checks = tuple(
        NewCheck(row, plate, feed, judge_stored(vars(row), plate, feed))
        for row, (plate, feed) in zip(rows, motors_of(rows), strict=True)
    )
    return RecordedVisit(
        visit=visit,
        created=False,
        fan_ids=_fans_of_visit(visit),
        checks=checks,
        cautions=cautions_of(visit, checks),
        superseded=Visit.objects.filter(supersedes=visit.pk).exists(),
    )


def recall(row: Event | Decision | Closing) -> Recorded:
    """A stored event, answer or closing and the fans it touches."""
    match row:
        case Event():
            fan_ids = _fans_of_event(row)
        case Closing():
            fan_ids = (row.finding.fan_id,)
        case Decision():
            fan_ids = (row.fan_id,)
    return Recorded(row, False, fan_ids)


def _fans_of_visit(visit: Visit) -> tuple[int, ...]:
    """A correction may have touched every fan of its site, other visits those they tell of."""
    return _fans(site=visit.site_id) if visit.supersedes_id else fans_told_of(visit)


def fans_told_of(visit: Visit) -> tuple[int, ...]:
    """The fans of which a visit tells anything, or whose system it inspected."""
    told: Any = Fan.objects.filter(system__inspections__visit=visit).order_by().values_list("pk")
    parts = (m.objects.filter(visit=visit).order_by().values_list("fan") for m in OF_FANS)
    return tuple(sorted(fan_id for (fan_id,) in told.union(*parts)))


def _fans_of_event(event: Event) -> tuple[int, ...]:
    if event.supersedes_id or (event.fan_id is None and event.system_id is None):
        return _fans(site=event.site_id)
    narrow = _fans(system=event.system_id) if event.fan_id is None else (event.fan_id,)
    return tuple(sorted({*narrow, *event.tipped_fans.values_list("pk", flat=True)}))


def _fans(**condition: Any) -> tuple[int, ...]:
    rows = Fan.objects.filter(**condition).order_by("pk")
    return tuple(rows.values_list("pk", flat=True))
