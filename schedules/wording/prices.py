"""What a change of a week costs and breaks, in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from django.utils.translation import gettext as _

from fleet.models import Person, Site
from schedules.rounds.breaking import Fault, Price
from schedules.wording.bookings import technician_name
from schedules.wording.days import day_text
from schedules.wording.money import money_text
from schedules.wording.rounds import broken_text, length_text
from visits.wording.names import upper_first


def price_text(price: Price) -> str:
    """``Costs 12 USD more; 14 min more driving.``"""
    told = [_cost_text(round(price.cost))]
    for minutes, more, less in (
        (price.travel_minutes, _("{time} more driving"), _("{time} less driving")),
        (price.overtime_minutes, _("{time} more of the reserve"), _("{time} less of the reserve")),
    ):
        if minutes:
            told.append((more if minutes > 0 else less).format(time=length_text(abs(minutes))))
    return f"{'; '.join(told)}."


def _cost_text(cost: int) -> str:
    if cost > 0:
        return _("Costs {cost} more").format(cost=money_text(cost))
    if cost < 0:
        return _("Saves {cost}").format(cost=money_text(-cost))
    return _("Costs nothing")


def fault_texts(faults: Iterable[Fault]) -> list[str]:
    """``Outside the hours …: Mill Lane, Wed 9 Dec 2026, J. Park``; two queries."""
    told = list(faults)
    sites = Site.objects.in_bulk({each.site for each in told if each.site})
    people = Person.objects.in_bulk({each.technician for each in told if each.technician})
    return [_fault_text(each, sites, people) for each in told]


def _fault_text(fault: Fault, sites: Mapping[int, Site], people: Mapping[int, Person]) -> str:
    site, person = sites.get(fault.site or 0), people.get(fault.technician or 0)
    where = [
        site.name if site else "",
        day_text(fault.day) if fault.day else "",
        technician_name(person) if person else "",
    ]
    what = upper_first(broken_text(fault.code, fault.lacking))
    return f"{what}: {', '.join(filter(None, where))}"
