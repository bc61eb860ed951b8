"""Who is told at once of a stop or a critical finding."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from functools import partial

from fleet.models import Fan, Person
from schedules.models import Notice
from schedules.notices.addressees import addresses_of_owners, is_waking_hour, refused_among
from schedules.notices.clocks import Clocks
from schedules.notices.critical.alarms import alarms_at
from schedules.notices.critical.words import AlarmHere, words_here, words_to_owner
from schedules.notices.letter import Letter, Unreachable, to_owner, to_person
from schedules.office import office
from visits.models import MadeSafe

KIND = Notice.Kind.CRITICAL


def critical_letters(now: datetime) -> Iterator[Letter | Unreachable]:
    """One letter for each fan and occurrence, to its owner and to whoever dispatches.

    Written on any day in waking hours.  A fan made safe on the same visit is told to its owner by
    the letter on that (``schedules.notices.made_safe``), which says what was found as well.
    """
    clocks = Clocks(now)
    awake_here = is_waking_hour(now.astimezone(office().zone))
    if not (clocks.anyone_awake or awake_here):
        return
    alarms = alarms_at(clocks)
    if not alarms:
        return
    fans = Fan.objects.select_related("site__owner").in_bulk({each.fan_id for each in alarms})
    addresses = addresses_of_owners({fan.site.owner_id for fan in fans.values()})
    refused = refused_among(addresses.values())
    people = _people() if awake_here else []
    for alarm in alarms:
        fan = fans[alarm.fan_id]
        slip = MadeSafe.objects.filter(visit=alarm.visit, fan=fan).first()
        if slip is None and clocks.awake(fan.site):
            words = partial(words_to_owner, fan, alarm, now)
            yield to_owner(KIND, fan.site.owner, alarm.period, addresses, words)
        address = addresses.get(fan.site.owner_id, "")
        here = AlarmHere(fan, alarm, slip, "" if address in refused else address)
        for person in people:
            if person.pk != alarm.visit.recorded_by_id:
                yield to_person(KIND, person, alarm.period, partial(words_here, here))


def _people() -> Sequence[Person]:
    """Those who dispatch and have an address; where nobody does, those who manage.

    Whoever logged the visit knows already.
    """
    reached = Person.objects.filter(is_active=True).exclude(email="").order_by("pk")
    dispatchers = list(reached.filter(role=Person.Role.DISPATCHER))
    return dispatchers or list(reached.filter(role=Person.Role.MANAGER))
