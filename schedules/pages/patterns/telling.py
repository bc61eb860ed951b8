"""A failure in lines: when, of which machine, what was seen before and after, what happened."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.quantities import VERDICT_ORDER
from schedules.patterns.evidence import Failure, Look
from schedules.wording import day_text
from schedules.wording.causes import cause_text
from schedules.wording.patterns import advised_text
from visits.models import Event
from visits.wording import (
    EVENT_KINDS,
    FAILURE_MODES,
    ITEMS,
    MECHANISMS,
    VERDICTS,
    subject_words,
    words,
)
from visits.wording.names import upper_first

Verdict = tuple[str, str, str]
"""What it is about, its mark and its word."""


@dataclass(frozen=True)
class Line:
    """One thing about a failure under its term; verdicts with their marks after the text."""

    term: str
    text: str
    verdicts: Sequence[Verdict] = ()


def failure_when(each: Failure) -> str:
    """Its day as recorded, else between which days it lies."""
    if each.failed_on is not None:
        return day_text(each.failed_on)
    return _("found {day}").format(day=day_text(each.found_on))


def failure_lines(each: Failure) -> Iterator[Line]:
    """What the record holds of it, in the order in which somebody would ask."""
    yield Line(_("When"), _when(each))
    if each.machine is not None:
        named = ", ".join(filter(None, [each.machine.model, each.machine.serial]))
        machine = named or _("no model or serial number on record")
        warranty = _("in warranty then") if each.in_warranty else ""
        yield Line(_("Machine"), "; ".join(filter(None, [machine, warranty])))
    mode = words(FAILURE_MODES, each.mode) if each.mode else ""
    cause = (
        _("cause as written down: {cause}").format(cause=cause_text(each.cause))
        if each.cause
        else _("cause not determined")
    )
    mechanism = words(MECHANISMS, each.mechanism)
    found = "; ".join(filter(None, [mode, mechanism, cause]))
    yield Line(_("Found"), f"{upper_first(found)}.")
    yield _look(_("Look before"), each.looked_before, _("no look on record before it"))
    yield _look(_("Look after"), each.looked_after, _("no look on record since"))
    if each.events:
        told = "; ".join(_event(event, each) for event in each.events)
        yield Line(_("Just before"), f"{upper_first(told)}.")
    if each.replaced:
        parts = ", ".join(dict.fromkeys(words(ITEMS, row.item) for row in each.replaced))
        text = _("{parts} replaced").format(parts=upper_first(parts))
        why = _("why it had failed was not written down") if each.without_cause else ""
        yield Line(_("Done"), f"{'; '.join(filter(None, [text, why]))}.")
    if each.advised:
        yield Line(_("Advised"), advised_text(each.advised))


def _when(each: Failure) -> str:
    if each.failed_on == each.found_on:
        return _("Failed and found on that day, as recorded.")
    if each.failed_on is not None:
        return _("Failed {day} as recorded, found {found}.").format(
            day=day_text(each.failed_on), found=day_text(each.found_on)
        )
    if each.ran_on is None:
        return _("Not known: by {day}, when it was found; nobody had seen it run before.").format(
            day=day_text(each.found_on)
        )
    return _(
        "Not known: after {ran}, when it was last seen running or the part was renewed, by {day}."
    ).format(ran=day_text(each.ran_on), day=day_text(each.found_on))


def _look(term: str, look: Look | None, none: str) -> Line:
    if look is None:
        return Line(term, f"{upper_first(none)}.")
    worst_first = sorted(look.verdicts.items(), key=lambda each: (-VERDICT_ORDER[each[1]], each[0]))
    verdicts = [
        (upper_first(subject_words(name)), verdict, words(VERDICTS, verdict))
        for name, verdict in worst_first
    ]
    text = day_text(look.on) if verdicts else _("{day}: nothing at fault.").format(
        day=day_text(look.on)
    )  # fmt: skip
    return Line(term, text, verdicts)


def _event(event: Event, each: Failure) -> str:
    days = (each.day - event.ended_on).days
    ago = ngettext("{days} day before", "{days} days before", days).format(days=days)
    crew = _("by {crew}").format(crew=event.crew) if event.crew else ""
    tipped = _("this fan tipped") if event.pk in each.tipped_at else ""
    what = f"{words(EVENT_KINDS, event.kind)} {day_text(event.ended_on)}"
    return ", ".join(filter(None, [what, crew, tipped, ago if days > 0 else _("that day")]))
