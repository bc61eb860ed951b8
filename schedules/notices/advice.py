"""Advice that an owner has not answered yet, as far as the record shows it still stands."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import datetime

from fleet.quantities import item_of
from schedules.engine.findings import SETTLING
from visits.models import Action, Check, Decision, Recommendation

ANSWERS = (Decision.Answer.GO_AHEAD, Decision.Answer.NOT_NOW, Decision.Answer.DECLINED)
"""A question back is no answer."""


def unanswered_advice(owner_ids: Iterable[int]) -> Mapping[int, list[Recommendation]]:
    """By owner, oldest first, what waits for a yes or no; three queries, however many owners."""
    rows = Recommendation.objects.filter(
        fan__site__owner__in=list(owner_ids), visit__superseded_by__isnull=True
    )
    open_rows = rows.exclude(decisions__answer__in=ANSWERS)
    told = list(open_rows.select_related("visit", "fan__site").order_by("visit__began_at", "pk"))
    overtaken = _overtaken({row.fan_id for row in told})
    found: dict[int, list[Recommendation]] = defaultdict(list)
    for row in told:
        names = {row.subject, item_of(row.subject)}
        later = max((overtaken.get((row.fan_id, name)) for name in names), key=_or_first)
        if later is None or later <= row.visit.began_at:
            found[row.fan.site.owner_id].append(row)
    return found


def _or_first(at: datetime | None) -> float:
    return at.timestamp() if at else 0.0


def _overtaken(fan_ids: set[int]) -> Mapping[tuple[int, str], datetime]:
    """By fan and subject or item, when it was last repaired or found within."""
    last: dict[tuple[int, str], datetime] = {}
    done = Action.objects.filter(
        fan__in=fan_ids, kind__in=SETTLING, visit__superseded_by__isnull=True
    )
    for fan_id, item, at in done.order_by("visit__began_at").values_list(
        "fan", "item", "visit__began_at"
    ):
        last[fan_id, item] = at
    seen = Check.objects.filter(fan__in=fan_ids, visit__superseded_by__isnull=True)
    for fan_id, judged, at in seen.order_by("began_at").values_list("fan", "judged", "began_at"):
        for subject, verdict in judged.items():
            if verdict == "within":
                last[fan_id, subject] = max(at, last.get((fan_id, subject), at))
    return last
