"""Who did the work of a visit, and whether its inspections count as by somebody qualified."""

from __future__ import annotations

from dataclasses import dataclass

from visits.payload.entries import VisitEntry
from visits.services.ground import Ground


@dataclass(frozen=True, slots=True)
class Attended:
    """Whoever was there; without an id nobody on record goes by the name."""

    id: int | None = None
    name: str = ""
    inspects: bool = False


def who_attended(ground: Ground, entry: VisitEntry) -> Attended:
    """As named; else as in the visit that this one corrects; else whoever logs it."""
    if entry.technician:
        known = ground.people.get(entry.technician.casefold())
        if known is None:
            return Attended(name=entry.technician)
        return Attended(known.id, known.name, known.inspects)
    if entry.supersedes and (old := ground.stored.visits.get(entry.supersedes)):
        # Asked for only where it matters: one question more, of a correction with inspections.
        who = old.technician if entry.inspections else None
        inspects = bool(who and who.qualified_code_inspection)
        return Attended(old.technician_id, old.technician_name, inspects)
    if ground.from_file or ground.by is None:
        return Attended()
    by = ground.by
    return Attended(by.pk, by.get_full_name(), by.qualified_code_inspection)


def inspects(ground: Ground, entry: VisitEntry, who: Attended) -> bool:
    """Whether the visit's inspections count as by somebody qualified.

    Naming a colleague is no qualification: they count where the inspector sends them, or somebody
    who plans does so for others; an old file may say it itself.
    """
    by = ground.by
    if ground.from_file:
        return entry.inspector_qualified or who.inspects
    return who.inspects and (by is None or by.plans or by.pk == who.id)
