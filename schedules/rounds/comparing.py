"""What differs between two versions of a week, stop by stop."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from schedules.models import PlannedRound, PlannedStop

NEW, GONE, MOVED, RETIMED, WORK = "new", "gone", "moved", "retimed", "work"
Pair = tuple[PlannedRound, PlannedStop]


@dataclass(frozen=True)
class Difference:
    """One stop that is other than before; ``was`` or ``becomes`` is None where there is none."""

    kind: str
    was: Pair | None
    becomes: Pair | None

    @property
    def stop(self) -> PlannedStop:
        """The stop as it is, or was last."""
        pair = self.becomes or self.was
        assert pair is not None  # noqa: S101
        return pair[1]


def differences(before: Iterable[PlannedRound], after: Iterable[PlannedRound]) -> list[Difference]:
    """Stops new, gone, moved to another day or person, at another time, or for other fans.

    Rounds as ``schedules.rounds.storing.rounds_of`` reads them.
    """
    old, new = _stops(before), _stops(after)
    gone = (Difference(GONE, old[key], None) for key in old if key not in new)
    return sorted([*_changed(old, new), *gone], key=_order)


def _changed(old: Mapping[UUID, Pair], new: Mapping[UUID, Pair]) -> Iterator[Difference]:
    for key, (round_, stop) in new.items():
        if key not in old:
            yield Difference(NEW, None, (round_, stop))
            continue
        was_round, was = old[key]
        pairs = (was_round, was), (round_, stop)
        if (was_round.technician_id, was_round.day) != (round_.technician_id, round_.day):
            yield Difference(MOVED, *pairs)
        elif (was.arrive_minute, was.leave_minute) != (stop.arrive_minute, stop.leave_minute):
            yield Difference(RETIMED, *pairs)
        elif _works(was) != _works(stop):
            yield Difference(WORK, *pairs)


def _stops(rounds: Iterable[PlannedRound]) -> dict[UUID, Pair]:
    return {stop.key: (each, stop) for each in rounds for stop in each.stops.all()}


def _works(stop: PlannedStop) -> set[tuple[int, str]]:
    return {(work.fan_id, work.skill) for work in stop.fans.all()}


def _order(each: Difference) -> tuple[Any, ...]:
    round_, stop = each.becomes or each.was  # type: ignore[misc]  # one of them is there
    return round_.day, round_.technician_id, stop.position
