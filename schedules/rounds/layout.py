"""Who goes where in what order, without times: what a person changes and what is undone to."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any
from uuid import UUID

from schedules.rounds.work import Wanted

Workday = tuple[int, date]
"""A technician and a day."""


@dataclass(frozen=True, slots=True)
class LaidStop:
    """One coming to one site; ``key`` names it for as long as it is planned.

    ``booking`` stands for it, as ``booking_seen``; with ``keeps_hours`` those were given by hand.
    ``extra_minutes`` are for work beside that on fans.
    """

    key: UUID
    site: int
    works: tuple[Wanted, ...] = ()
    pinned: bool = False
    booking: UUID | None = None
    booking_seen: int = 0
    keeps_hours: bool = False
    extra_minutes: int = 0


@dataclass(frozen=True, slots=True)
class LaidRound:
    """One technician's day, stops in order; ``published`` once its technician was told."""

    technician: int
    day: date
    stops: tuple[LaidStop, ...]
    published: bool = False

    @property
    def workday(self) -> Workday:
        return self.technician, self.day


@dataclass(frozen=True)
class Layout:
    """The rounds of a week by workday; those without stops are none."""

    rounds: Mapping[Workday, LaidRound]

    @staticmethod
    def of(rounds: Iterable[LaidRound]) -> Layout:
        """In order of day and technician, equal neighbours drawn together."""
        kept = {each.workday: replace(each, stops=_joined(each.stops)) for each in rounds}
        ordered = sorted(kept.values(), key=lambda each: (each.day, each.technician))
        return Layout({each.workday: each for each in ordered if each.stops})

    def __iter__(self) -> Any:
        return iter(self.rounds.values())

    @property
    def stops(self) -> Iterable[tuple[LaidRound, LaidStop]]:
        return ((each, stop) for each in self.rounds.values() for stop in each.stops)

    @property
    def wanted(self) -> frozenset[Wanted]:
        """All that is planned to be done."""
        return frozenset(wanted for _, stop in self.stops for wanted in stop.works)

    def find(self, key: UUID) -> tuple[LaidRound, LaidStop] | None:
        """The stop of that key with its round."""
        return next((found for found in self.stops if found[1].key == key), None)

    def stops_on(self, workday: Workday) -> tuple[LaidStop, ...]:
        """Stops of a workday in order; none where nobody goes."""
        found = self.rounds.get(workday)
        return found.stops if found else ()

    def with_stops(self, changes: Mapping[Workday, Sequence[LaidStop]]) -> Layout:
        """The same week with other stops on some workdays."""
        rounds = dict(self.rounds)
        for workday, stops in changes.items():
            known = rounds.get(workday) or LaidRound(*workday, ())
            rounds[workday] = replace(known, stops=tuple(stops))
        return Layout.of(rounds.values())

    def with_stop(self, stop: LaidStop) -> Layout:
        """The same week with a stop as it is given, in its place."""
        found = self.find(stop.key)
        if found is None:
            raise KeyError(stop.key)
        round_ = found[0]
        stops = [stop if each.key == stop.key else each for each in round_.stops]
        return self.with_stops({round_.workday: stops})

    def without(self, key: UUID) -> Layout:
        """The same week without a stop."""
        found = self.find(key)
        if found is None:
            raise KeyError(key)
        stops = [each for each in found[0].stops if each.key != key]
        return self.with_stops({found[0].workday: stops})

    def put(self, stop: LaidStop, workday: Workday, position: int) -> Layout:
        """The same week with a stop more, before the one that stands at ``position``."""
        stops = [*self.stops_on(workday)]
        stops.insert(position, stop)
        return self.with_stops({workday: stops})


def as_json(layout: Layout) -> list[dict[str, Any]]:
    """A layout as it is kept to be undone to."""
    return [
        {
            "technician": each.technician,
            "day": each.day.isoformat(),
            "published": each.published,
            "stops": [_stop_json(stop) for stop in each.stops],
        }
        for each in layout
    ]


def from_json(told: Sequence[Mapping[str, Any]]) -> Layout:
    """The layout that ``as_json`` kept."""
    return Layout.of(
        LaidRound(
            each["technician"],
            date.fromisoformat(each["day"]),
            tuple(_stop_of(stop) for stop in each["stops"]),
            each["published"],
        )
        for each in told
    )


def _stop_json(stop: LaidStop) -> dict[str, Any]:
    return {
        "key": str(stop.key),
        "site": stop.site,
        "works": [list(wanted) for wanted in stop.works],
        "pinned": stop.pinned,
        "booking": str(stop.booking) if stop.booking else None,
        "booking_seen": stop.booking_seen,
        "keeps_hours": stop.keeps_hours,
        "extra_minutes": stop.extra_minutes,
    }


def _stop_of(told: Mapping[str, Any]) -> LaidStop:
    return LaidStop(
        key=UUID(told["key"]),
        site=told["site"],
        works=tuple((fan, skill) for fan, skill in told["works"]),
        pinned=told["pinned"],
        booking=UUID(told["booking"]) if told["booking"] else None,
        booking_seen=told["booking_seen"],
        keeps_hours=told["keeps_hours"],
        extra_minutes=told["extra_minutes"],
    )


def _joined(stops: Sequence[LaidStop]) -> tuple[LaidStop, ...]:
    """Nobody goes down and up again between two stops at one site; two bookings stay two."""
    joined: list[LaidStop] = []
    for stop in stops:
        last = joined[-1] if joined else None
        if last and last.site == stop.site and None in (last.booking, stop.booking):
            first, other = (stop, last) if last.booking is None and stop.booking else (last, stop)
            joined[-1] = replace(
                first,
                works=tuple(dict.fromkeys((*last.works, *stop.works))),
                pinned=first.pinned or other.pinned,
                extra_minutes=last.extra_minutes + stop.extra_minutes,
            )
        else:
            joined.append(stop)
    return tuple(joined)
