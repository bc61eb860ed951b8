"""A due list's lines made ready for a template: words, marks, sections."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby
from operator import attrgetter

from schedules import wording
from schedules.due.lines import DueLine
from schedules.due.waiting import AtStake, at_stake
from schedules.wording.owners import waiting_note


@dataclass(frozen=True)
class ShownLine:
    """One fan's line in words; ``mark`` names its verdict's drawing, empty for none.

    ``stop`` tells a stop that the reason says nothing of.
    """

    fan_id: int
    tag: str
    place: str
    site_id: int
    site: str
    owner: str
    day: str
    distance: str
    is_over: bool
    stop: str
    reason: str
    notes: list[str]
    booked: str
    waiting: str
    mark: str
    verdict: str


@dataclass(frozen=True)
class ShownSection:
    """Lines under one heading."""

    code: str
    name: str
    lines: list[ShownLine]


def show(line: DueLine, reader: object, stake: AtStake | None = None) -> ShownLine:
    """A line in words, as far as its reader may know."""
    state = line.state
    return ShownLine(
        fan_id=state.fan_id,
        tag=state.fan.tag,
        place=state.fan.place,
        site_id=state.site_id,
        site=state.site.name,
        owner=state.owner.name,
        day=wording.due_text(line),
        distance=wording.distance_text(line),
        is_over=line.days_over > 0,
        stop=wording.stop_text(line),
        reason=wording.reason_text(line),
        notes=wording.notes_of(line),
        booked=wording.booked_note(line.booked, reader),
        waiting=waiting_note(stake),
        mark=wording.verdict_code(state).replace("_", "-"),
        verdict=wording.verdict_text(state),
    )


def show_sections(lines: Iterable[DueLine], reader: object) -> list[ShownSection]:
    """Lines under their headings, in the order they come, with what waiting costs."""
    lines = list(lines)
    stakes = at_stake(lines)
    return [
        ShownSection(
            code,
            wording.section_name(code),
            [show(line, reader, stakes.get(line.state.fan_id)) for line in group],
        )
        for code, group in groupby(lines, key=attrgetter("section"))
    ]
