"""Losses of function, each with the advice before it that led to nothing."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Prefetch, QuerySet

from fleet.quantities import item_of
from visits.models import Decision, Finding, Recommendation, Visit

NO = (Decision.Answer.NOT_NOW, Decision.Answer.DECLINED)


@dataclass(frozen=True)
class Failed:
    """A loss of function; ``advice`` on the same item before it, and the ``answer`` to it.

    ``answer`` is None where nobody gave one.  That one came after the other says nothing of why.
    """

    finding: Finding
    advice: Recommendation | None
    answer: Decision | None


def failures_of(visits: QuerySet[Visit]) -> Sequence[Failed]:
    """Losses of function told by these visits, call-backs apart; three questions."""
    rows = Finding.objects.filter(visit__in=visits, loss_of_function=True, call_back=False)
    findings = list(rows.select_related("fan__site__owner", "visit").order_by("visit__began_at"))
    advice: dict[int, list[Recommendation]] = defaultdict(list)
    answers = Prefetch("decisions", Decision.objects.order_by("decided_on", "received_at"))
    given = Recommendation.objects.filter(
        fan__in={each.fan_id for each in findings}, visit__superseded_by=None
    )
    ordered = given.select_related("visit").order_by("visit__began_at", "pk")
    for row in ordered.prefetch_related(answers):
        advice[row.fan_id].append(row)
    return [_failed(finding, advice[finding.fan_id]) for finding in findings]


def _failed(finding: Finding, advice: Sequence[Recommendation]) -> Failed:
    """The newest advice on its item before it, if that was declined, put off or not answered."""
    about = {finding.subject, finding.item}
    failed_on = finding.failed_on or finding.visit.local_on
    before = [
        row
        for row in advice
        if row.visit.began_at < finding.visit.began_at
        and row.visit.local_on <= failed_on
        and {row.subject, item_of(row.subject)} & about
    ]
    if not before:
        return Failed(finding, None, None)
    given = [each for each in before[-1].decisions.all() if each.decided_on <= failed_on]
    told = [each for each in given if each.answer != Decision.Answer.QUESTION]
    if told and told[-1].answer not in NO:
        return Failed(finding, None, None)
    return Failed(finding, before[-1], told[-1] if told else None)
