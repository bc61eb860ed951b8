"""The draft of a week: made where there is none, held while it is changed, its changes noted."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.core.exceptions import PermissionDenied

from fleet.models import Person
from schedules.models import DRAFT, PlanChange, PlanVersion, WeekPlan
from schedules.office import office
from schedules.rounds.errors import StaleDraftError, WeekPlanError
from schedules.rounds.layout import Layout, as_json
from schedules.rounds.left import TakenOut
from schedules.rounds.storing import copy_version
from schedules.wording.rounds import change_text, stale_text

KEPT_CHANGES = 60
"""How many changes back a draft can be undone; our choice."""
PUBLISH, TAKE_OUT, UNDO = "publish", "take_out", "undo"
PUT_BACK = "put_back"


def require_planner(by: Person | None) -> None:
    """PermissionDenied for who does not plan; a command on the machine itself may."""
    if by is not None and not by.plans:
        raise PermissionDenied("Only managers and dispatchers plan weeks.")


def held_plan(monday: date) -> WeekPlan:
    """The week's plan, for nobody else to change until this transaction is done."""
    return WeekPlan.objects.select_for_update().get_or_create(monday=monday)[0]


def draft_of(plan: WeekPlan) -> PlanVersion:
    """The draft; where there is none, one that stands as the latest published version."""
    draft, is_new = PlanVersion.objects.get_or_create(plan=plan, number=DRAFT)
    if is_new and (latest := latest_published(plan)):
        copy_version(latest, draft)
        draft.figures, draft.overload = latest.figures, latest.overload
        draft.known_bookings = latest.known_bookings
        draft.save()
    return draft


def latest_published(plan: WeekPlan) -> PlanVersion | None:
    """The version that technicians go by; None before the first."""
    return plan.versions.filter(number__gt=DRAFT).order_by("-number").first()


def standing_version(plan: WeekPlan) -> PlanVersion | None:
    """The draft, else what was published last, as which one would begin; None for neither."""
    return plan.versions.filter(number=DRAFT).first() or latest_published(plan)


def refuse_stale(plan: WeekPlan, seen: int) -> None:
    """StaleDraftError with who did what where the draft was changed since revision ``seen``."""
    if plan.revision == seen:
        return
    if seen > plan.revision:
        raise WeekPlanError(
            f"revision {seen} of {plan} is not there yet, the draft is at {plan.revision}; "
            "look at the week again"
        )
    rows = plan.changes.filter(revision__gt=seen).select_related("by").order_by("revision")
    changes = list(rows)
    raise StaleDraftError(stale_text(plan, changes, office().zone), changes, plan.revision)


def note_change(
    plan: WeekPlan, *, kind: str, args: Mapping[str, Any], before: Layout, by: Person | None,
    now: datetime,
) -> PlanChange:  # fmt: skip
    """A revision more, with what was done and how the draft stood before."""
    plan.revision += 1
    plan.save(update_fields=["revision"])
    change = PlanChange.objects.create(
        plan=plan, revision=plan.revision, at=now, by=by, kind=kind, args=dict(args),
        before=as_json(before), undone=kind == UNDO,
    )  # fmt: skip
    plan.changes.filter(revision__lte=plan.revision - KEPT_CHANGES).delete()
    return change


def put_back(taken_out: TakenOut, after: Layout) -> dict[str, Any]:
    """What somebody had taken out and a change puts back, kept with it should it be undone."""
    ended = [[*wanted, by] for wanted, by in taken_out.items() if wanted in after.wanted]
    return {PUT_BACK: ended} if ended else {}


def put_back_by(change: PlanChange) -> TakenOut:
    """What had been taken out before a change put it back."""
    return {(fan, skill): by for fan, skill, by in change.args.get(PUT_BACK, ())}


def last_to_undo(plan: WeekPlan) -> PlanChange:
    """The last change that can be undone; WeekPlanError says why there is none."""
    change = plan.changes.filter(undone=False).order_by("-revision").first()
    if change is None:
        raise WeekPlanError(f"nothing in the draft of {plan} can be undone; it is as it began")
    if change.kind == PUBLISH:
        told = change_text(change, office().zone)
        raise WeekPlanError(f"{told}: technicians go by it. Change the draft and publish again")
    return change
