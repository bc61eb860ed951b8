"""What happened to a fan, as letters on the time axis of its charts."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from schedules.charts import Mark
from schedules.fan_page.gathering import FanFile, is_superseded
from schedules.wording import day_text
from visits.models import Event
from visits.services.past import RESET_ITEMS, RESET_KINDS
from visits.wording import EVENT_KINDS, ITEMS, WORK, words
from visits.wording.names import upper_first


def marks_of(file: FanFile) -> list[Mark]:
    """Cleanings, storms and the like, machines, and work after which vibration counts anew."""
    marks = [*_events(file), *_machines(file), *_resets(file)]
    return sorted(marks, key=lambda mark: mark.day)


def cleanings_of(file: FanFile, place: str) -> list[int]:
    """Days on which a place was cleaned, from which its grease grows anew."""
    return sorted(
        event.ended_on.toordinal()
        for event in file.events
        if place in event.places_cleaned and not is_superseded(event)
    )


def _events(file: FanFile) -> Iterator[Mark]:
    letters = {
        "hood_cleaning": pgettext("letter for a hood cleaning", "C"),
        "storm": pgettext("letter for a storm", "S"),
        "power_event": pgettext("letter for a power event", "P"),
        "kitchen_change": pgettext("letter for a changed kitchen", "K"),
        "breaker_reset": pgettext("letter for a breaker reset", "B"),
    }
    for event in file.events:
        if not is_superseded(event):
            kind = upper_first(words(EVENT_KINDS, event.kind))
            text = _event_text(file, event, kind)
            yield Mark(event.ended_on.toordinal(), letters[event.kind], text, kind)


def _event_text(file: FanFile, event: Event, what: str) -> str:
    tipped = _(", this fan tipped") if event.pk in file.tipped_at else ""
    return f"{day_text(event.ended_on)}: {what}{tipped}"


def _machines(file: FanFile) -> Iterator[Mark]:
    for machine in file.machines:
        if machine.installed_on is not None and not machine.first_here:
            day, kind = machine.installed_on, _("Machine replaced")
            letter = pgettext("letter for a replaced machine", "M")
            yield Mark(day.toordinal(), letter, f"{day_text(day)}: {kind}", kind)


def _resets(file: FanFile) -> Iterator[Mark]:
    for day, action in file.standing_actions:
        replaced = action.kind == "replaced" and action.item in RESET_ITEMS - {"machine"}
        if replaced or action.kind in RESET_KINDS:
            done = upper_first(f"{words(ITEMS, action.item)} {words(WORK, action.kind)}")
            letter = pgettext("letter for vibration counted anew", "R")
            kind = _("Replaced, balanced or remounted: vibration counts anew")
            yield Mark(day.toordinal(), letter, f"{day_text(day)}: {done}", kind, cuts=True)
