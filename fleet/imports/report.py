"""What became of a file: what is wrong with it, or what it changed or would change."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from fleet.imports.complaints import Complaint
from fleet.imports.plan import Change, Motor


@dataclass(frozen=True, slots=True)
class Onboarding:
    """The days on which the new fans come under the rules."""

    fans: int
    first_on: date
    last_on: date


@dataclass(frozen=True, slots=True)
class ImportReport:
    """The outcome of one import.

    ``complaint_count`` may exceed the complaints kept.  ``added`` counts new rows by model name;
    ``motors`` are all machines of the file with their feeds, unless it was refused.
    ``fan_ids`` are all fans whose dates may have changed; empty in a dry run.
    """

    file: str
    dry_run: bool
    fans_in_file: int = 0
    complaints: tuple[Complaint, ...] = ()
    complaint_count: int = 0
    notes: tuple[Complaint, ...] = ()
    added: dict[str, int] = field(default_factory=dict)
    new_owners: tuple[str, ...] = ()
    new_sites: tuple[str, ...] = ()
    changes: tuple[Change, ...] = ()
    motors: tuple[Motor, ...] = ()
    onboarding: Onboarding | None = None
    fan_ids: tuple[int, ...] = ()

    @property
    def refused(self) -> bool:
        """Whether anything is wrong; then nothing was stored."""
        return self.complaint_count > 0

    @property
    def changes_nothing(self) -> bool:
        """Whether all of the file was on record already."""
        return not self.refused and not self.added and not self.changes
