"""A fan's entries newest first: visits, events, answers, closings, machines, a page of them."""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from django.utils.translation import gettext as _

from fleet.models import Machine
from schedules.fan_page.beside import Beside
from schedules.fan_page.entry_words import (
    Line,
    closing_line,
    decision_line,
    event_lines,
    is_replacement,
    machine_line,
    told_line,
    visit_lines,
)
from schedules.fan_page.gathering import FanFile, is_superseded
from schedules.fan_page.judged import Judged
from schedules.fan_page.photos import ShownPhoto, photos_of, taken_out_of
from schedules.fan_page.readings import ShownCheck, show_check
from schedules.wording import day_text
from visits.models import Check, Closing, Decision, Event, RunningTold, Visit
from visits.wording import EVENT_KINDS, VISIT_KINDS, words
from visits.wording.names import upper_first

PAGE = 15
"""Entries of a page; those of one day stay together."""

Item = Visit | Event | Decision | Closing | RunningTold | Machine


@dataclass(frozen=True)
class Entry:
    """One entry; a superseded one is struck and says what took its place and why.

    ``is_folded`` where it holds nothing but checks wholly within; ``correction_anchor`` is empty
    where the other of the two is not on the same page.
    """

    anchor: str
    day: str
    title: str
    who: str
    note: str
    is_struck: bool
    is_folded: bool
    correction: str
    correction_anchor: str
    checks: list[ShownCheck]
    lines: list[Line]
    photos: list[ShownPhoto]
    taken_out: list[str]


@dataclass(frozen=True)
class EntriesPage:
    """Some of a fan's entries; ``older`` is the day to ask with for those before, else empty."""

    file: FanFile
    items: Sequence[Item]
    older: str
    is_first: bool

    @property
    def checks(self) -> list[Check]:
        """Every check that the page shows."""
        visits = (item for item in self.items if isinstance(item, Visit))
        return [check for visit in visits for check in self.file.part(Check, visit)]

    def show(self, judged: Judged, beside: Beside) -> list[Entry]:
        """The entries in words; the fan's newest is never folded."""
        anchors = {_anchor(item) for item in self.items}
        shown = [_show(self.file, item, judged, beside, anchors) for item in self.items]
        if self.is_first:
            shown[:1] = [replace(entry, is_folded=False) for entry in shown[:1]]
        return shown


def entries_page(file: FanFile, before: date | None) -> EntriesPage:
    """The newest entries, or those from before a day."""
    items = sorted(_items(file), key=_order, reverse=True)
    if before is not None:
        items = [item for item in items if _day(item) < before]
    shown = items[:PAGE]
    shown += [item for item in items[PAGE:] if _day(item) == _day(shown[-1])]
    older = _day(shown[-1]).isoformat() if len(shown) < len(items) else ""
    return EntriesPage(file, shown, older, is_first=before is None)


def _items(file: FanFile) -> Iterator[Item]:
    yield from file.visits.values()
    yield from file.events
    yield from file.decisions
    yield from file.closings
    yield from file.told
    replaced_on = {day for day, action in file.standing_actions if is_replacement(action)}
    yield from (
        each
        for each in file.machines
        if each.installed_on and not each.first_here and each.installed_on not in replaced_on
    )


def _day(item: Item) -> date:
    match item:
        case Visit():
            return item.local_on
        case Event():
            return item.ended_on
        case Decision():
            return item.decided_on
        case Closing():
            return item.closed_on
        case RunningTold():
            return item.told_on
        case Machine():
            return item.installed_on or date.min


def _minute(item: Item) -> int | None:
    """The local minute at which it began, or an event ended, where that is known."""
    match item:
        case Visit():
            return item.local_minute
        case Event():
            return item.ended_minute
        case _:
            return None


def _when(item: Item) -> str:
    minute = _minute(item)
    clock = "" if minute is None else f" {minute // 60}:{minute % 60:02}"
    return f"{day_text(_day(item))}{clock}"


def _order(item: Item) -> tuple[date, int, str]:
    """By day, then minute where it is known; a record and its correction stay neighbours."""
    minute = _minute(item)
    return _day(item), -1 if minute is None else minute, str(getattr(item, "received_at", ""))


def _anchor(item: Item) -> str:
    """Its name on the page; tables that count their rows may count alike."""
    return f"{item._meta.model_name}-{item.pk}"


def _show(
    file: FanFile, item: Item, judged: Judged, beside: Beside, anchors: Container[str]
) -> Entry:
    struck = isinstance(item, Visit | Event) and is_superseded(item)
    correction, other = _correction(item)
    checks = _checks(file, item, judged, beside) if isinstance(item, Visit) else []
    lines, note = _lines(file, item), _note(item)
    photos = photos_of(file, item) if isinstance(item, Visit) else []
    taken_out = taken_out_of(file, item) if isinstance(item, Visit) else []
    is_more = bool(struck or correction or lines or note or photos)
    return Entry(
        anchor=_anchor(item),
        day=_when(item),
        title=_title(item),
        who=_who(item),
        note=note,
        is_struck=struck,
        is_folded=bool(checks) and not is_more and all(check.is_within for check in checks),
        correction=correction,
        correction_anchor=other if other in anchors else "",
        checks=checks,
        lines=lines,
        photos=photos,
        taken_out=taken_out,
    )


def _checks(file: FanFile, visit: Visit, judged: Judged, beside: Beside) -> list[ShownCheck]:
    return [
        show_check(
            check,
            judged[check.pk],
            machine=_on_machine(file, check),
            beside=beside.get(check.pk, {}),
            lasting=file.known_lasting.get(check.pk, check.lasting),
        )
        for check in sorted(file.part(Check, visit), key=lambda each: each.stage)
    ]


def _on_machine(file: FanFile, check: Check) -> str:
    """Which machine was seen, where it is not the one in place."""
    if file.machine is None or check.machine_id in (None, file.machine.pk):
        return ""
    machine = next(each for each in file.machines if each.pk == check.machine_id)
    until = day_text(machine.removed_on) if machine.removed_on else ""
    return _("on the machine in place until {day}").format(day=until)


def _title(item: Item) -> str:
    match item:
        case Visit():
            title = words(VISIT_KINDS, item.kind)
        case Event():
            title = words(EVENT_KINDS, item.kind)
        case Decision():
            title = _("the owner's answer")
        case Closing():
            title = _("finding closed")
        case RunningTold():
            title = _("the kitchen's word")
        case Machine():
            title = _("machine installed")
    return upper_first(title)


def _who(item: Item) -> str:
    match item:
        case Visit():
            name = item.technician.get_full_name() if item.technician else ""
            return name or item.technician_name
        case Event():
            return item.crew
        case Decision():
            return item.decided_by
        case Closing():
            return item.closed_by.get_full_name() if item.closed_by else ""
        case RunningTold():
            return item.told_by
        case Machine():
            return ""


def _note(item: Item) -> str:
    """What somebody wrote about the whole; an answer's words stand in its line."""
    match item:
        case Visit():
            return item.notes
        case Event():
            return item.note
        case RunningTold():
            return item.note
        case _:
            return ""


def _correction(item: Item) -> tuple[str, str]:
    """What corrects this entry or what it corrects, why and by whom, with the other's anchor."""
    if not isinstance(item, Visit | Event):
        return "", ""
    after = getattr(item, "superseded_by", None)
    if after is not None:
        by = after.recorded_by.get_full_name() if after.recorded_by else ""
        told = _("Corrected: {why}") if not by else _("Corrected by {who}: {why}")
        return told.format(why=after.correction_reason, who=by), _anchor(after)
    if item.supersedes is not None:
        told = _("Corrects an earlier entry: {why}").format(why=item.correction_reason)
        return told, _anchor(item.supersedes)
    return "", ""


def _lines(file: FanFile, item: Item) -> list[Line]:
    match item:
        case Visit():
            return visit_lines(file, item)
        case Event():
            return event_lines(file, item)
        case Decision():
            return [decision_line(item)]
        case Closing():
            return [closing_line(item)]
        case RunningTold():
            return [told_line(item)]
        case Machine():
            return [machine_line(item)]
