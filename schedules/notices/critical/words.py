"""A stop or a critical finding in words: clear about the limit, hedged about the cause."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext as _

from fleet.models import Fan
from schedules.notices.critical.alarms import Alarm
from schedules.notices.found import found_by_owner, found_by_us
from schedules.notices.letter import (
    LetterWords,
    drawn,
    drawn_for_owner,
    fan_name,
    one_line,
    site_name,
)
from schedules.wording import day_text
from visits.models import MadeSafe
from visits.wording import fault_for_owner


@dataclass(frozen=True)
class AlarmHere:
    """What the company's people are told; ``owner_address`` is empty where nobody is reached."""

    fan: Fan
    alarm: Alarm
    slip: MadeSafe | None
    owner_address: str


def words_to_owner(fan: Fan, alarm: Alarm, now: datetime) -> LetterWords:
    """To the owner: what was found, that the fan stays off, who may touch it, what we need."""
    if alarm.is_stop:
        subject = _("STOP: exhaust fan {tag} at {site} must not run")
    else:
        subject = _("Critical fault: exhaust fan {tag} at {site}")
    context = {
        "fan": fan_name(fan),
        "site": site_name(fan.site),
        "day": day_text(alarm.visit.local_on),
        "found": found_by_owner(alarm.visit.pk, fan.pk, alarm.subjects) or _by_name(alarm),
        "is_stop": alarm.is_stop,
    }
    told = subject.format(tag=fan.tag, site=fan.site.name)
    return drawn_for_owner("critical", told, fan.site.owner, now, context)


def words_here(here: AlarmHere) -> LetterWords:
    """To whoever dispatches: what, where, made safe or not, and whether the owner is reached."""
    fan, alarm, owner = here.fan, here.alarm, here.fan.site.owner
    subject = _("Stop found") if alarm.is_stop else _("Critical fault found")
    technician = alarm.visit.technician
    who = technician.get_full_name() if technician else alarm.visit.technician_name
    context = {
        "fan": fan_name(fan),
        "site": site_name(fan.site),
        "owner": one_line(owner.name),
        "phone": one_line(owner.phone),
        "owner_address": here.owner_address,
        "day": day_text(alarm.visit.local_on),
        "who": one_line(who),
        "found": found_by_us(alarm.visit.pk, fan.pk, alarm.subjects) or _by_name(alarm),
        "is_stop": alarm.is_stop,
        "slip": here.slip,
        "page": settings.PUBLIC_URL + reverse("fan_page", args=[fan.pk]),
    }
    told = f"{subject}: {one_line(fan.tag)}, {one_line(fan.site.name)}"
    return drawn("critical_here", told, context)


def _by_name(alarm: Alarm) -> list[str]:
    """Faults that an earlier visit found and this one did not settle."""
    verdict = "stop" if alarm.is_stop else "act"
    return [fault_for_owner(subject, verdict) for subject in sorted(alarm.subjects)]
