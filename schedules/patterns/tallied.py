"""Keep what was counted over the fleet: only rows whose failures on record moved are written."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from schedules.engine.failures.recurring import RecurringParams
from schedules.models import FailureTally, FleetCurve
from schedules.patterns.fleet import Fleet
from schedules.patterns.tallying import Row, curve, tallies

EVIDENCE = ("failures", "positions", "last_on", "stands_out")
WRITTEN = (*EVIDENCE, "figures", "as_of")
BATCH = 500
Group = tuple[str, str, int | None, str]
"""By what, model, site, item."""


def keep_tallies(fleet: Fleet, params: RecurringParams) -> int:
    """Bring rows up to the failures on record and say how many were written or taken out."""
    found = {_group(row): row for row in tallies(fleet, params)}
    known = {_group(vars(row)): row for row in FailureTally.objects.defer("figures").order_by("pk")}
    gone = [row.pk for group, row in known.items() if group not in found]
    for start in range(0, len(gone), BATCH):
        FailureTally.objects.filter(pk__in=gone[start : start + BATCH]).delete()
    new = [FailureTally(**row) for group, row in found.items() if group not in known]
    FailureTally.objects.bulk_create(new, batch_size=BATCH)
    moved = [row for group, row in known.items() if group in found and _lay(row, found[group])]
    FailureTally.objects.bulk_update(moved, WRITTEN, batch_size=BATCH)
    return len(gone) + len(new) + len(moved) + _keep_curve(curve(fleet))


def _group(row: Any) -> Group:
    return row["by"], row["model"], row["site_id"], row["item"]


def _lay(row: FailureTally, found: Row) -> bool:
    """Whether its failures moved; then it holds what was found."""
    if _same(row, found, EVIDENCE):
        return False
    for name in WRITTEN:
        setattr(row, name, found[name])
    return True


def _same(row: Any, found: Row, names: Iterable[str]) -> bool:
    return all(getattr(row, name) == found[name] for name in names)


def _keep_curve(found: Row | None) -> int:
    """One row, written anew where failures or fans came; none where nothing failed."""
    row = FleetCurve.objects.order_by("pk").first()
    if found is None:
        return FleetCurve.objects.all().delete()[0] if row else 0
    if row and _same(row, found, ("fans", "failures", "last_on")):
        return 0
    FleetCurve.objects.update_or_create(pk=row.pk if row else 1, defaults=found)
    return 1
