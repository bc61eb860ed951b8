"""Weeks that somebody asked for on a page, planned by whatever does the jobs."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from django.core.exceptions import PermissionDenied

from config.collisions import in_one_transaction
from fleet.services.errors import RegisterError
from schedules.engine.errors import ProblemError
from schedules.models import AskedPlan
from schedules.rounds.drafts import held_plan, refuse_stale, require_planner, standing_version
from schedules.rounds.errors import StaleDraftError, WeekPlanError
from schedules.rounds.gathering import clock_of
from schedules.rounds.services.editing import Who
from schedules.rounds.services.planning import SECONDS, WARM_SECONDS, Search, plan_week

REFUSED = (WeekPlanError, RegisterError, ProblemError, PermissionDenied)
"""What keeps a week from being planned; each says why in a sentence."""


@in_one_transaction
def ask_for_plan(who: Who, *, fresh: bool = False) -> AskedPlan:
    """Have a week planned soon; asked again before that, the later wish stands.

    Raises StaleDraftError for a draft that was changed since, WeekPlanError for a week past.
    """
    require_planner(who.by)
    plan = held_plan(who.monday)
    refuse_stale(plan, who.seen)
    if not clock_of(who.monday, who.now).days:
        raise WeekPlanError(f"{plan} is past; plan this week or a later one")
    wish = {"by": who.by, "asked_at": who.now, "fresh": fresh, "done_at": None, "fault": ""}
    return AskedPlan.objects.update_or_create(plan=plan, defaults=wish)[0]


def plan_asked(*, now: datetime, search: Search | None = None) -> int:
    """Plan the weeks asked for, the earliest wish first; how many were planned."""
    asked = AskedPlan.objects.filter(done_at=None).select_related("plan", "by")
    return sum(_planned(each, search or _search_for(each), now) for each in asked)


def _search_for(asked: AskedPlan) -> Search:
    """Short from a plan that stands, long for a week that has none yet or begins afresh."""
    is_warm = not asked.fresh and standing_version(asked.plan) is not None
    return Search(seconds=WARM_SECONDS if is_warm else SECONDS)


def _planned(asked: AskedPlan, search: Search, now: datetime) -> bool:
    """Whether it could be planned; what kept it is noted for whoever asked."""
    fault = ""
    try:
        plan_week(
            monday=asked.plan.monday, by=asked.by, now=now,
            search=replace(search, fresh=asked.fresh),
        )  # fmt: skip
    except StaleDraftError:
        # somebody was quicker than the search: the next turn begins with what they did
        return False
    except REFUSED as error:
        fault = str(error).rstrip(".")
    same = AskedPlan.objects.filter(pk=asked.pk, asked_at=asked.asked_at)
    same.update(done_at=now, fault=fault)
    return not fault
