"""A site's facts in words: what cooks there, what was bought, who was there last."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from schedules.due.sites import Bought, SiteEntry, SystemFans, entry_day
from schedules.wording.days import day_text
from schedules.wording.rules import COOKING_WORDS
from schedules.wording.visit_answers import TO_VISIT
from visits.models import Visit, VisitAnswer
from visits.wording import EVENT_KINDS, VISIT_KINDS, words
from visits.wording.names import Words, upper_first

SURROUNDINGS: Words = {
    "inland": gettext_lazy("inland"),
    "coastal": gettext_lazy("coastal: salt air, so walked monthly"),
    "corrosive": gettext_lazy("corrosive air, so walked monthly"),
}


@dataclass(frozen=True)
class EntryText:
    """A visit or event as a line."""

    day: str
    what: str


def surroundings_words(code: str) -> str:
    """What the air does to fans there."""
    return words(SURROUNDINGS, code)


def system_text(told: SystemFans) -> str:
    """What cooks under a system, what follows its fans, who cleans it when."""
    system = told.system
    cooking = [words(COOKING_WORDS, name) for name in told.cooking]
    parts = [", ".join(cooking) or words(COOKING_WORDS, "unknown")]
    if system.make_up_air_interlock:
        parts.append(_("make-up air follows"))
    if system.fire_system_interlock:
        parts.append(_("the fire system starts the fans"))
    if told.cleaning is not None:
        cleaning = _("hood cleaning expected {day}").format(day=day_text(told.cleaning.day))
        crew = told.cleaning.crew or system.cleaning_crew
        parts.append(f"{cleaning} ({crew})" if crew else cleaning)
    elif system.cleaning_crew:
        parts.append(_("hoods cleaned by {crew}").format(crew=system.cleaning_crew))
    return upper_first("; ".join(parts)) + "."


def bought_text(bought: Bought | None) -> str:
    """What the agreement bought and how much of it was used."""
    if bought is None:
        return _("no agreement in force today")
    visits = bought.agreement.visits_per_year
    if visits is None:
        return _("visits as due")
    return ngettext(
        "{visits} visit a year; {made} made in the year from {day}",
        "{visits} visits a year; {made} made in the year from {day}",
        visits,
    ).format(visits=visits, made=bought.made, day=day_text(bought.year_on))


def entry_text(entry: SiteEntry) -> EntryText:
    """What happened: the kind, who, and to which fan or system."""
    day = day_text(entry_day(entry))
    if isinstance(entry, VisitAnswer):
        told = words(TO_VISIT, entry.answer)
        what = told.format(number=entry.number, year=day_text(entry.year_on))
        return EntryText(day, f"{what}, {entry.decided_by}")
    if isinstance(entry, Visit):
        technician = entry.technician
        who = (technician.get_full_name() if technician else "") or entry.technician_name
        what = words(VISIT_KINDS, entry.kind)
        return EntryText(day, upper_first(f"{what}, {who}" if who else what))
    where = entry.fan.tag if entry.fan else entry.system.name if entry.system else ""
    what = words(EVENT_KINDS, entry.kind)
    return EntryText(day, upper_first(f"{what}, {where}" if where else what))
