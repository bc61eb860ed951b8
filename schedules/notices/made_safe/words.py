"""A fan out of service in words: what was found, who was told, what restarts it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.models import Owner
from schedules.notices.found import found_by_owner
from schedules.notices.letter import (
    LetterWords,
    drawn_for_owner,
    fan_name,
    one_line,
    site_name,
)
from schedules.wording import day_text
from visits.models import Check, Finding, MadeSafe


@dataclass(frozen=True)
class Slip:
    """A fan still out of service; ``stage`` counts the letters that chase it, from 0."""

    row: MadeSafe
    stage: int
    today: date

    @property
    def owner(self) -> Owner:
        return self.row.fan.site.owner

    @property
    def period(self) -> str:
        """The fan, its days and the stage: told again where another day is promised, else once."""
        promised = self.row.promised_on.isoformat() if self.row.promised_on else "open"
        made = self.row.visit.local_on.isoformat()
        return f"fan-{self.row.fan_id}.{made}.{promised}.{self.stage}"

    @property
    def days_out(self) -> int:
        return (self.today - self.row.visit.local_on).days

    @property
    def is_late(self) -> bool:
        """Whether the day promised for its restart has passed."""
        promised_on = self.row.promised_on
        return promised_on is not None and promised_on < self.today


def made_safe_words(slip: Slip, now: datetime) -> LetterWords:
    """The letter of one stage."""
    row = slip.row
    context = {
        "fan": fan_name(row.fan),
        "site": site_name(row.fan.site),
        "opening": _opening(slip),
        "found": found_by_owner(row.visit_id, row.fan_id, _stopped(row)),
        "told": one_line(row.told),
        "told_on": day_text(row.visit.local_on),
        "lock_holder": one_line(row.lock_holder),
        "cook_line": row.cook_line_stopped,
        "restarts_when": one_line(row.restarts_when),
        "promised": day_text(row.promised_on) if row.promised_on else "",
        "is_late": slip.is_late,
    }
    return drawn_for_owner("made_safe", _subject(slip), slip.owner, now, context)


def _subject(slip: Slip) -> str:
    names = {"tag": slip.row.fan.tag, "site": slip.row.fan.site.name, "days": slip.days_out}
    if not slip.stage:
        return _("Out of service: exhaust fan {tag} at {site}").format(**names)
    return ngettext(
        "Still out of service after {days} day: exhaust fan {tag} at {site}",
        "Still out of service after {days} days: exhaust fan {tag} at {site}",
        slip.days_out,
    ).format(**names)


def _opening(slip: Slip) -> str:
    made = day_text(slip.row.visit.local_on)
    if not slip.stage:
        return _("We took this fan out of service on {day}, because it must not run.").format(
            day=made
        )
    if slip.is_late:
        return _(
            "This fan has been out of service since {day}. The day promised for its restart, "
            "{promised}, has passed, and we have no inspection on record that lets it run again."
        ).format(day=made, promised=day_text(slip.row.promised_on or slip.today))
    return _(
        "This fan has been out of service since {day}, and we have no inspection on record that "
        "lets it run again."
    ).format(day=made)


def _stopped(row: MadeSafe) -> set[str]:
    """Subjects that the visit found at a stop, else at a fault to be put right."""
    judged: dict[str, str] = {}
    checks = Check.objects.filter(visit=row.visit_id, fan=row.fan_id, stage="as_found")
    for told in checks.values_list("judged", flat=True):
        judged |= told
    notes = Finding.objects.filter(visit=row.visit_id, fan=row.fan_id)
    for subject, item, verdict in notes.values_list("subject", "item", "verdict"):
        judged[subject or item] = verdict
    for wanted in ("stop", "act"):
        if found := {subject for subject, verdict in judged.items() if verdict == wanted}:
            return found
    return set()
