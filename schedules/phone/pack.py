"""The whole that a phone takes along: who, which stops, sites and fans, the form and its terms."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict

from django.conf import settings
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, override

from fleet.models import Blocker, ExhaustSystem, Person, Site
from schedules.models import PlannedStop
from schedules.office import office
from schedules.phone.fan import Told, tell_fan
from schedules.phone.form import tell_form
from schedules.phone.gathering import FanPack, PackFile
from schedules.phone.siblings import siblings_of
from schedules.phone.terms import tell_terms
from schedules.roof_plan import lying, roof_plan
from schedules.rounds.sheet import FanLine
from schedules.rounds.telling import fans_text
from schedules.wording import clock_text, week_text
from schedules.wording.rounds import BLOCKER_WORDS, planned_note
from visits.wording import words
from visits.wording.names import Words, upper_first

FORMAT = 1
CONTACT_WORDS: Words = {
    "kitchen": gettext_lazy("kitchen"),
    "keys": gettext_lazy("keys of the roof"),
    "building": gettext_lazy("building"),
}


def tell_pack(file: PackFile) -> Told:
    """Everything, in the language in force; the same while nothing on record differs."""
    fans = [tell_fan(each, file.day) for each in file.fans]
    for fan, beside in zip(fans, siblings_of(file.fans), strict=True):
        fan["siblings"] = beside.lines
        for name, text in beside.by_field.items():
            if name in fan["fields"]:
                fan["fields"][name]["siblings"] = text
    return {
        "format": FORMAT,
        "day": file.day,
        "time_zone": _zone(file),
        "person": tell_person(file.person),
        "stops": _stops(file),
        "sites": [_site(each, file) for each in file.sites],
        "fans": fans,
        "form": tell_form(),
        "terms": tell_terms(),
    }


def _zone(file: PackFile) -> str:
    """By whose clock the times of stops are: the office's; of one site, its own."""
    return office().zone.key if file.round else file.sites[0].time_zone


def tell_person(person: Person) -> Told:
    """Who is signed in, and what they are recorded as qualified for."""
    return {
        "id": person.pk,
        "login": person.username,
        "name": person.called,
        "language": person.language,
        "may_inspect": person.qualified_code_inspection,
        "may_work_live": person.qualified_energised_work,
    }


def _stops(file: PackFile) -> list[Told]:
    if file.round is None:
        return []
    return [_stop(order, stop) for order, stop in enumerate(file.round.stops.all(), 1)]


def _stop(order: int, stop: PlannedStop) -> Told:
    fans = {work.fan_id: work.fan.tag for work in stop.fans.all()}
    return {
        "order": order,
        "key": str(stop.key),
        "arrive": clock_text(stop.arrive_minute),
        "leave": clock_text(stop.leave_minute),
        "site": stop.site_id,
        "fans": sorted(fans, key=lambda pk: fans[pk]),
        "why": [_why(stop, pk) for pk in sorted(fans, key=lambda pk: fans[pk])],
        "note": _note(stop),
    }


def _note(stop: PlannedStop) -> str:
    """What somebody wrote for this visit; the planner's own note lists fans, which are told."""
    note = stop.booking.note if stop.booking else ""
    with override(settings.LANGUAGE_CODE):
        return "" if note == planned_note(stop) else note


def _why(stop: PlannedStop, fan_id: int) -> str:
    """One fan by all it is due for, whatever skills that takes."""
    return fans_text([FanLine(work) for work in stop.fans.all() if work.fan_id == fan_id])


def _site(site: Site, file: PackFile) -> Told:
    systems = {each.file.fan.system_id: each.file.fan.system for each in _at(site, file)}
    return {
        "id": site.pk,
        "owner": site.owner.name,
        "name": site.name,
        "address": site.address,
        "time_zone": site.time_zone,
        "latitude": site.latitude,
        "longitude": site.longitude,
        "access": [*_access(site), *(_blocker(each) for each in file.blockers.get(site.pk, ()))],
        "contacts": list(_contacts(site)),
        "plan": _plan(site, file),
        "systems": [_system(each) for each in systems.values()],
    }


def _at(site: Site, file: PackFile) -> Iterator[FanPack]:
    return (each for each in file.fans if each.file.fan.site_id == site.pk)


def _system(system: ExhaustSystem) -> Told:
    return {"id": system.pk, "name": system.name}


def _contacts(site: Site) -> Iterator[Mapping[str, str]]:
    """Whom to call there, whoever has the keys first; then the owner."""
    known = sorted(site.contacts.all(), key=lambda each: (each.duty != each.Duty.KEYS, each.pk))
    for each in known:
        duty = words(CONTACT_WORDS, each.duty) if each.duty != each.Duty.OTHER else ""
        yield {"duty": upper_first(duty), "name": each.name, "phone": each.phone, "note": each.note}
    if site.owner.phone:
        told = {"name": site.owner.name, "phone": site.owner.phone, "note": ""}
        yield {"duty": _("Owner"), **told}


def _plan(site: Site, file: PackFile) -> Told | None:
    fans = [each.file.fan for each in _at(site, file)]
    plan = roof_plan([lying(fan) for fan in fans])
    if plan is None:
        return None
    spots = [{**asdict(spot), "label": spot.label} for spot in plan.spots]
    return {**asdict(plan), "spots": spots}


def _access(site: Site) -> Iterator[str]:
    way = ngettext("Way up: {count} minute", "Way up: {count} minutes", site.access_minutes)
    yield "; ".join(filter(None, [way.format(count=site.access_minutes), site.access_notes]))
    if hours := week_text(site.roof_access_hours):
        yield _("Roof open: {hours}").format(hours=hours)
    if hours := week_text(site.fan_stop_hours):
        yield _("Fans may stop: {hours}").format(hours=hours)
    if site.lift_notes:
        yield _("Lift, crane: {notes}").format(notes=site.lift_notes)


def _blocker(blocker: Blocker) -> str:
    fan = f" ({blocker.fan.tag})" if blocker.fan else ""
    what = _("Waits for {what}").format(what=f"{words(BLOCKER_WORDS, blocker.kind)}{fan}")
    return "; ".join(filter(None, [upper_first(what), blocker.note]))
