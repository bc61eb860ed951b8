"""Losses of function, each with the advice before it that led to nothing."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import QuerySet

from fleet.quantities import item_of
from visits.models import Action, Decision, Finding, Recommendation
from visits.models.visits import superseded
from visits.services.past import MENDED

NO = (Decision.Answer.NOT_NOW, Decision.Answer.DECLINED)


@dataclass(frozen=True)
class Failed:
    """A loss of function; ``advice`` on the same item before it, and the ``answer`` to it.

    ``answer`` is None where nobody gave one.  Advice after which that item was mended led to
    something and is not told.  That one came after the other says nothing of why.
    """

    finding: Finding
    advice: Recommendation | None
    answer: Decision | None


def after_advice(losses: QuerySet[Finding]) -> Sequence[Failed]:
    """Each of these losses of function, in the order they were found; four questions."""
    findings = list(losses.select_related("fan__site__owner", "visit").order_by("visit__began_at"))
    fans = {each.fan_id for each in findings}
    advice: dict[int, list[Recommendation]] = defaultdict(list)
    given = Recommendation.objects.filter(~superseded("visit"), fan__in=fans)
    ordered = given.select_related("visit").order_by("visit__began_at", "pk")
    for row in ordered.prefetch_related("decisions"):
        advice[row.fan_id].append(row)
    mended: dict[int, list[Action]] = defaultdict(list)
    work = Action.objects.filter(~superseded("visit"), fan__in=advice.keys(), kind__in=MENDED)
    for action in work.select_related("visit").order_by("pk"):
        mended[action.fan_id].append(action)
    return [advice_before(each, advice[each.fan_id], mended[each.fan_id]) for each in findings]


def advice_before(
    finding: Finding, advice: Sequence[Recommendation], mended: Sequence[Action]
) -> Failed:
    """The newest advice on its item before it, if that was declined, put off or not answered.

    ``advice`` and ``mended`` are what standing visits gave and mended on its fan, the first first.
    """
    about = {finding.subject, finding.item}
    failed_on = finding.failed_on or finding.visit.local_on
    earlier = [
        row
        for row in advice
        if row.visit.began_at < finding.visit.began_at
        and row.visit.local_on <= failed_on
        and {row.subject, item_of(row.subject)} & about
    ]
    if not earlier or _was_mended(item_of(finding.item), earlier[-1], finding, mended):
        return Failed(finding, None, None)
    answers = sorted(earlier[-1].decisions.all(), key=lambda row: (row.decided_on, row.received_at))
    given = [each for each in answers if each.decided_on <= failed_on]
    told = [each for each in given if each.answer not in Decision.OPEN]
    if told and told[-1].answer not in NO:
        return Failed(finding, None, None)
    return Failed(finding, earlier[-1], told[-1] if told else None)


def _was_mended(
    item: str, advice: Recommendation, finding: Finding, mended: Sequence[Action]
) -> bool:
    """Whether a later visit than the advice's mended the item before it failed."""
    return any(
        item_of(work.item) in (item, "machine")
        and advice.visit.began_at < work.visit.began_at < finding.visit.began_at
        for work in mended
    )
