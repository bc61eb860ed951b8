"""What a story is made of: a stage at one kitchen, its fans as file rows, its records."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any
from zlib import crc32

from schedules.demo.county import fan_columns, site_called, site_columns, system_columns
from schedules.demo.plates import Columns
from schedules.demo.records import Days, Record

RUTA, COL = "Ruta Vennick", "Col Bexhollow"
"""The technicians; Ruta is qualified for inspections and energised work, Col is not."""
DAILY = "daily 10:00-22:00"


@dataclass(slots=True)
class Stage:
    """One kitchen on which a story is told; rows and records gather as it goes on."""

    site: str
    days: Days
    rows: list[Columns] = field(default_factory=list)
    records: list[Record] = field(default_factory=list)

    def fan(
        self,
        tag: str,
        plate: Columns,
        feed: Columns,
        *,
        system: str = "Grill line",
        classes: str = "high",
        hours: str = DAILY,
        place: str = "by the hatch",
        installed: int = -1900,
        **more: str,
    ) -> None:
        """Put a fan on the roof; ``more`` are further cells of its row."""
        serial = f"{crc32(f'{self.site} {tag}'.encode()):08X}"
        self.rows.append(
            {
                **site_columns(site_called(self.site), self.days),
                **system_columns(self.days, system, classes, hours),
                **fan_columns(self.days, tag, place, installed=installed, serial=serial),
                **plate,
                **feed,
                **more,
            }
        )

    def visit(
        self,
        kind: str,
        day: int,
        *checks: Record,
        clock: str = "07:40",
        by: str = RUTA,
        **parts: Any,
    ) -> None:
        """Record a visit ``day`` days from today."""
        kitchen = site_called(self.site).kitchen
        began = self.days.at(day, clock)
        self.records.append(kitchen.visit(kind, began, *checks, technician=by, **parts))

    def inspected(self, day: int, system: str = "Grill line", *, note: str = "") -> None:
        """Record a qualified code inspection of one system."""
        kitchen = site_called(self.site).kitchen
        began = self.days.at(day, "13:30")
        self.records.append(kitchen.inspection(began, system, technician=RUTA, note=note))

    def cleaned(
        self, day: int, *places: str, system: str = "Grill line", tipped: tuple[str, ...] = ()
    ) -> None:
        """Record a hood cleaning that ended in the small hours of ``day``; the rest was left."""
        rest = [place for place in ("hood", "duct", "housing") if place not in places]
        self.records.append(
            site_called(self.site).kitchen.event(
                "hood_cleaning", self.days.at(day - 1, "23:30"), ended=self.days.at(day, "03:40"),
                system=system, crew="Clearflue, night crew", tipped=list(tipped),
                places_cleaned=list(places), places_not_cleaned=rest,
            )
        )  # fmt: skip


Told = Callable[[Days], Stage]
"""A story: given today, the fans and records it is made of."""
