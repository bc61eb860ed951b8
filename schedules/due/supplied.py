"""How far a fan that its owner supplies has come: read off its days and the record."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Q

from fleet.models import Blocker, Machine, SuppliedFan
from fleet.quantities import LOOK_LISTS
from schedules.due.behind import check_columns
from visits.judging import answered_of
from visits.models import Check
from visits.models.visits import superseded

TO_ORDER, TO_ARRIVE, TO_INSTALL, TO_START, DONE = STAGES = (
    "to_order", "to_arrive", "to_install", "to_start_up", "done",
)  # fmt: skip
START_UP = frozenset(LOOK_LISTS["start_up"])


@dataclass(frozen=True)
class Supply:
    """A fan on its way; ``installed_on`` and ``started_on`` are None until the record has them."""

    row: SuppliedFan
    installed_on: date | None
    started_on: date | None

    @property
    def stage(self) -> str:
        """What comes next, one of ``STAGES``; what is installed has arrived, noted or not."""
        if self.started_on:
            return DONE
        if self.installed_on:
            return TO_START
        if self.row.arrived_on:
            return TO_INSTALL
        return TO_ARRIVE if self.row.ordered_on else TO_ORDER

    @property
    def waits_for_owner(self) -> bool:
        """Whether the next step is the owner's: ordering, delivering, or having it installed."""
        if self.stage == TO_INSTALL:
            return self.row.installer != SuppliedFan.Installer.US
        return self.stage in (TO_ORDER, TO_ARRIVE)


def supplies(which: Q) -> Sequence[Supply]:
    """Fans on their way, oldest first.  Three statements at most."""
    rows = list(
        SuppliedFan.objects.standing().filter(which).select_related("fan__site", "fan__system")
    )
    fans = {row.fan_id for row in rows}
    installed = _installed(fans)
    started = _started(set(installed))
    found = [_supply(row, installed[row.fan_id], started) for row in rows]
    return [each for each in found if each.stage != DONE]


def parts_awaited(fans: Collection[int], first_on: date) -> list[Blocker]:
    """Blockers, kept nowhere, of these fans while what their owner supplies has not arrived.

    The day on which it is expected clears it; one before ``first_on`` does not, it is late.
    """
    return [
        Blocker(
            site=each.row.fan.site, fan=each.row.fan, kind=Blocker.Kind.PARTS,
            note=each.row.what, since_on=each.row.entered_on,
            cleared_on=expected if (expected := each.row.expected_on or date.min) >= first_on
            else None,
        )
        for each in supplies(Q(fan__in=fans))
        if each.stage in (TO_ORDER, TO_ARRIVE)
    ]  # fmt: skip


def _installed(fans: Collection[int]) -> Mapping[int, list[Machine]]:
    """By fan, machines that replaced another, oldest first."""
    found: dict[int, list[Machine]] = defaultdict(list)
    rows = Machine.objects.filter(fan__in=fans, first_here=False).exclude(installed_on=None)
    for machine in rows.order_by("installed_on", "pk") if fans else ():
        found[machine.fan_id].append(machine)
    return found


def _started(fans: Collection[int]) -> Mapping[int, list[tuple[int | None, date]]]:
    """By fan, machines with the days of their start-up checks, as rule 7 counts them."""
    found: dict[int, list[tuple[int | None, date]]] = defaultdict(list)
    if not fans:
        return found
    # on the replacement visit itself the new machine is what was left, not what was found
    counts = Q(stage="as_found") | Q(visit__kind="replacement")
    checks = Check.objects.filter(counts, ~superseded("visit"), fan__in=fans)
    for row in checks.order_by("visit__local_on").values(
        "fan_id", "visit__local_on", *check_columns()
    ):
        if answered_of(row) >= START_UP:
            found[row["fan_id"]].append((row["machine_id"], row["visit__local_on"]))
    return found


def _supply(
    row: SuppliedFan, machines: Sequence[Machine], started: Mapping[int, Sequence[Any]]
) -> Supply:
    """The first machine put in since it was spoken of is the one."""
    since = min(row.entered_on, row.ordered_on or row.entered_on)
    machine = next((each for each in machines if (each.installed_on or since) >= since), None)
    if machine is None:
        return Supply(row, None, None)
    days = (on for of, on in started.get(row.fan_id, ()) if of == machine.pk)
    return Supply(row, machine.installed_on, next(days, None))
