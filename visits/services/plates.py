"""A nameplate read on a visit: taken to the register as far as nothing is overwritten."""

from __future__ import annotations

from django.utils.translation import gettext as _

from fleet.models import Fan
from fleet.services.errors import RegisterError
from fleet.services.plate_readings import read_plate
from visits.models import PlateReading, Visit
from visits.payload.entries import PlateEntry
from visits.services.ground import Ground
from visits.services.register import FanFacts, reload_machines


def lay_plate(
    ground: Ground, visit: Visit, fan: FanFacts, entry: PlateEntry, *, is_new: bool
) -> None:
    """Tell the register what was read before anything is judged by it; note what became of it."""
    if is_new:
        remedy = _("give the new machine's plate with its replacement")
        ground.complain(entry.pointer, _("this machine was replaced"), entry.fan, remedy)
        return
    try:
        told = read_plate(
            fan=Fan.objects.get(pk=fan.id),
            on=visit.local_on,
            plate=entry.machine,
            ours=_filled_before(visit, fan),
            by=ground.by,
            now=ground.now,
            why=f"plate read on visit {visit.pk}",
        )
    except (RegisterError, TypeError, ValueError) as error:
        ground.complain(f"{entry.pointer}/machine", str(error), None, _("correct the nameplate"))
        return
    ground.rows.plates.append(
        PlateReading(
            visit=visit,
            fan_id=fan.id,
            machine_id=told.machine.pk if told.machine else None,
            read=dict(entry.machine),
            filled=told.filled,
            differs=told.differs,
            refused=told.refused,
            another=told.another,
        )
    )
    if told.changed:
        ground.swapped.add(fan.id)
        reload_machines(fan)


def _filled_before(visit: Visit, fan: FanFacts) -> dict[str, str]:
    """What the visit that this one corrects had filled in."""
    if visit.supersedes_id is None:
        return {}
    rows = PlateReading.objects.filter(visit=visit.supersedes_id, fan=fan.id)
    return {name: value for row in rows for name, value in row.filled.items()}
