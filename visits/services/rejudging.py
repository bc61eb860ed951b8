"""Judges stored checks again where the register has learnt what it did not know when they came."""

from __future__ import annotations

from collections.abc import Collection
from uuid import UUID

from visits.judging import judge_row, verdicts
from visits.limits import DEFAULT_LIMITS, Limits
from visits.models import Action, Check
from visits.services.past import SLIGHT, Past, add_slight, load_work, slight_before
from visits.services.register import FanFacts, load_fans
from visits.services.stored import chunked
from visits.services.swaps import Swaps, first_swaps, is_before


def judge_again(*, fan_ids: Collection[int], limits: Limits = DEFAULT_LIMITS) -> int:
    """Give the standing checks of these fans the machine and verdicts they would get today.

    For a machine replaced in the past, a plate completed or a limit changed; returns how many
    checks changed.  Readings stay as they are.
    """
    return sum(_judge_chunk(part, limits) for part in chunked(fan_ids))


def _judge_chunk(fan_ids: list[int], limits: Limits) -> int:
    rows = Check.objects.filter(fan__in=fan_ids, visit__superseded_by__isnull=True)
    checks = list(rows.select_related("visit"))
    if not checks:
        return 0
    fans = load_fans(fan_ids)
    swaps = set(
        Action.objects.filter(fan__in=fan_ids, kind="replaced", item="machine").values_list(
            "visit_id", "fan_id"
        )
    )
    first = first_swaps(fan_ids)
    was = {check.pk: (check.machine_id, check.judged) for check in checks}
    for check in checks:
        check.machine_id = _machine_id(check, fans[check.fan_id], swaps, first)
    slight = _slight(checks, fan_ids)
    for check in checks:
        check.judged = _judge(check, fans[check.fan_id], check.pk in slight, limits)
    changed = [check for check in checks if was[check.pk] != (check.machine_id, check.judged)]
    Check.objects.bulk_update(changed, ["machine", "judged"], batch_size=500)
    return len(changed)


def _machine_id(
    check: Check, fan: FanFacts, swaps: set[tuple[UUID, int]], first: Swaps
) -> int | None:
    """The machine the check saw."""
    if (check.visit_id, check.fan_id) in swaps:
        before_swap = check.stage == "as_found"
    else:
        before_swap = is_before(check.visit, check.fan_id, first)
    machine = fan.machine_on(check.visit.local_on, before_swap=before_swap)
    return machine.id if machine else None


def _slight(checks: list[Check], fan_ids: list[int]) -> set[int]:
    """Checks before which vibration had felt slight."""
    past = Past()
    load_work(past, fan_ids)
    for check in checks:
        if check.vibration_felt == SLIGHT:
            add_slight(past, check)
    looks = (pair for fan_id in fan_ids for pair in slight_before(past, fan_id))
    return {look.check_id for look, before in looks if before and look.check_id}


def _judge(check: Check, fan: FanFacts, slight: bool, limits: Limits) -> dict[str, str]:
    machine = fan.machines.get(check.machine_id) if check.machine_id else None
    judgements = judge_row(
        vars(check),
        plate=fan.plate_of(machine),
        feed=fan.feed_on(check.visit.local_on),
        slight_before=slight,
        limits=limits,
    )
    return verdicts(judgements)
