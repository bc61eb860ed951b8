"""A file as entries, each with the lines it came from, and all that is wrong with it so far."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, field
from uuid import UUID

from visits.imports.report import LineComplaint
from visits.payload import Complaint, Entry, PayloadError

Place = Callable[[Complaint], LineComplaint]
"""Says at which line and column of the file a complaint about an entry lies."""


@dataclass(slots=True)
class Parsed:
    """Entries in file order; ``places`` finds the line of a complaint by the entry's id.

    ``is_table`` says that rows were gathered into visits.
    ``faulty`` are entries of which something could not be read: ``told`` holds where.
    """

    is_table: bool = False
    entries: list[Entry] = field(default_factory=list)
    faulty: list[Entry] = field(default_factory=list)
    told: set[tuple[UUID, str]] = field(default_factory=set)
    places: dict[UUID, Place] = field(default_factory=dict)
    complaints: list[LineComplaint] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def add(self, entry: Entry, place: Place) -> None:
        """Keep an entry; of a record told twice the first place counts."""
        self.entries.append(entry)
        self.places.setdefault(entry.id, place)

    def refuse(self, error: PayloadError, place: Place, known: Collection[str] = ()) -> None:
        """Keep what is wrong with a record, and as much of it as can still be looked up.

        ``known`` are pointers where the trouble is told already.
        """
        new = (said for said in error.complaints if said.pointer not in known)
        self.complaints.extend(map(place, new))
        if error.entry is not None:
            self.faulty.append(error.entry)
            self.places.setdefault(error.entry.id, place)
            self.told.update((error.entry.id, said.pointer) for said in error.complaints)
