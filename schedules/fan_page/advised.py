"""Advice before a loss of function that led to nothing, from what was read of the fan."""

from __future__ import annotations

from typing import Any

from django.db.models import Model

from schedules.due.advised import Failed, advice_before
from schedules.fan_page.gathering import FanFile, is_superseded
from visits.models import Action, Finding, Recommendation
from visits.services.past import MENDED


def advised_before(file: FanFile, finding: Finding) -> Failed | None:
    """None where nobody had advised, it was followed, or the finding counts as no failure."""
    visit = file.visits[finding.visit_id]
    if not finding.loss_of_function or finding.call_back or is_superseded(visit):
        return None
    finding.visit = visit
    mended = [row for row in _standing(file, Action) if row.kind in MENDED]
    told = advice_before(finding, _standing(file, Recommendation), mended)
    return told if told.advice else None


def _standing(file: FanFile, model: type[Model]) -> list[Any]:
    """Rows of visits that no correction supersedes, each with its visit, the first first."""
    rows = []
    for visit_id, of_visit in file.parts[model].items():
        visit = file.visits[visit_id]
        for row in () if is_superseded(visit) else of_visit:
            row.visit = visit
            rows.append(row)
    return sorted(rows, key=lambda row: (row.visit.began_at, row.pk))
