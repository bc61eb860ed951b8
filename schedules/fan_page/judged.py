"""Judgements of the checks a fan's page shows or draws, reckoned once for all of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import timedelta

from schedules.fan_page.gathering import FanFile
from visits.judging import judgements_of
from visits.limits import Judgement
from visits.models import Check

DRAWN_DAYS = 731
"""Charts show two years; longer ones would be too dense to read on a phone."""

Judged = Mapping[int, list[Judgement]]
"""By the check's primary key."""


def drawn_checks(file: FanFile) -> list[Check]:
    """Standing checks that charts show, oldest first."""
    first = (file.today - timedelta(days=DRAWN_DAYS)).toordinal()
    return [check for check in file.standing_checks if file.day_of(check) >= first]


def judge_checks(checks: Iterable[Check]) -> Judged:
    """Judgements of each check."""
    wanted = list({check.pk: check for check in checks}.values())
    told = judgements_of(wanted)
    return {check.pk: judgements for check, judgements in zip(wanted, told, strict=True)}
