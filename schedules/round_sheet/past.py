"""A fan's past in three lines: which looks, which troubles, what is still open; pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from fleet.quantities import VERDICT_ORDER

FAILED, CALL_BACK = "failed", "call_back"
MENDED = ("repaired", "replaced", "temporary")


@dataclass(frozen=True, slots=True)
class Look:
    """A check as found; ``is_complete`` where it answers the whole walk-through."""

    on: date
    kind: str
    is_complete: bool
    verdicts: Mapping[str, str]

    @property
    def worst(self) -> str:
        """The worst verdict given; empty where none was."""
        return max(self.verdicts.values(), key=VERDICT_ORDER.__getitem__, default="")

    @property
    def worst_subjects(self) -> list[str]:
        """What got it, where that is more than within."""
        if VERDICT_ORDER.get(self.worst, 0) <= VERDICT_ORDER["within"]:
            return []
        return sorted(name for name, said in self.verdicts.items() if said == self.worst)


@dataclass(frozen=True, slots=True)
class Trouble:
    """A loss of function, or work that mended something: ``what`` is its kind."""

    on: date
    what: str
    item: str


def looks_that_count(looks: Sequence[Look]) -> list[Look]:
    """The last complete look, and the last one since if it was not; the last if none ever was."""
    complete = [look for look in looks if look.is_complete]
    return [*complete[-1:], *(look for look in looks[-1:] if not look.is_complete)]


def troubles_that_count(troubles: Iterable[Trouble]) -> list[Trouble]:
    """The last failure and the last mending, in order of time; same day, the failure first."""
    failures: list[Trouble] = []
    mendings: list[Trouble] = []
    for trouble in troubles:
        (mendings if trouble.what in MENDED else failures).append(trouble)
    last = [max(each, key=lambda one: one.on) for each in (failures, mendings) if each]
    return sorted(last, key=lambda one: one.on)
