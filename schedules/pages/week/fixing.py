"""Where what keeps a site out of the week is put right."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _

from schedules.rounds.sheet import LeftLine

OF_PEOPLE = ("nobody_skilled", "skilled_away", "too_far")
OF_SITE = ("blocked", "no_hours", "hours_miss_shifts", "no_place", "not_yet")


@dataclass(frozen=True)
class Place:
    """A link, or with no ``url`` words for who cannot go there."""

    text: str
    url: str = ""


def place_to_fix(line: LeftLine, reader: Any) -> Place | None:
    """The place for this reason; None where a person decides on this page."""
    if line.reason == "blocked" and "owners_yes" in line.args.get("names", ()):
        return Place(_("Note the owner's answer"), reverse("site_page", args=[line.site.pk]))
    if line.reason in OF_SITE:
        words = _site_words(line.reason)
        return in_register(words, reader, reverse("admin:fleet_site_change", args=[line.site.pk]))
    if line.reason in OF_PEOPLE:
        people = reverse("admin:fleet_person_changelist") + "?role__exact=technician"
        return in_register(_people_words(line.reason), reader, people)
    if line.reason == "full":
        return Place(_("What would make room"), "#overload") if line.required else None
    return None


def in_register(words: str, reader: Any, url: str) -> Place:
    """A page of the register, for those who may change it."""
    if reader.is_staff:
        return Place(words, url)
    return Place(_("A manager changes that in the register"))


def _site_words(reason: str) -> str:
    return {
        "blocked": _("Change what this roof waits for"),
        "no_place": _("Enter its coordinates"),
        "not_yet": _("Change what this roof waits for"),
    }.get(reason, _("Change its hours"))


def _people_words(reason: str) -> str:
    return (
        _("Change technicians' bases and hours")
        if reason == "too_far"
        else _("Change who is qualified")
    )
