"""The record put down as ``visits.payload`` documents it, so that another install can take it in.

What counts is written: visits and events as last corrected, answers, findings closed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from itertools import islice
from typing import Any

from django.db.models import Prefetch

from fleet.models import Machine, Person, Site
from fleet.services.machines import PLATE_FIELDS
from visits.models import (
    Action,
    Closing,
    Decision,
    Event,
    Recommendation,
    SystemInspection,
    Visit,
)
from visits.models.visits import superseded
from visits.services.rewritten import Payload, rewrite_visits, what_says

AT_ONCE = 100
"""Visits read together."""
Swaps = dict[tuple[int, str, date], Payload]


def written_records(sites: Iterable[Site]) -> Iterator[Payload]:
    """All that counts of these sites, each as one record: what is referred to comes first."""
    ids = [site.pk for site in sites]
    yield from _visits(ids)
    yield from _events(ids)
    yield from _answers(ids)
    yield from _closings(ids)


def _visits(site_ids: list[int]) -> Iterator[Payload]:
    visits = (
        Visit.objects.standing()
        .filter(site__in=site_ids)
        .select_related("site__owner", "technician")
        .prefetch_related(
            Prefetch("inspections", SystemInspection.objects.filter(qualified=True), "qualified")
        )
        .order_by("began_at", "id")
    )
    swaps, taken_back = _machines(site_ids), _taken_back(site_ids)
    every = visits.iterator(AT_ONCE)
    while some := list(islice(every, AT_ONCE)):
        payloads = rewrite_visits(some)
        for visit in some:
            payload = payloads[visit.pk]
            _leave_letters_out(payload)
            _name_by_subject(payload, taken_back)
            yield _visit(visit, payload, swaps)


def _visit(visit: Visit, payload: Payload, swaps: Swaps) -> Payload:
    """The visit by names instead of this install's numbers, with who made it."""
    del payload["site_id"]
    for action in payload.get("actions", ()):
        if action["kind"] == "replaced" and action.get("item") == "machine":
            action["machine"] = swaps.get((visit.site_id, action["fan"], visit.local_on), {})
    return payload | what_says({
        **_place(visit.site),
        "technician": _login(visit.technician) or visit.technician_name,
        "inspector_qualified": bool(getattr(visit, "qualified", None)) or None,
    })  # fmt: skip


def _leave_letters_out(payload: Payload) -> None:
    """Who asked for a link had it: whoever reads the file is not to send a letter of years ago."""
    for advice in payload.get("recommendations", ()):
        if advice.get("decision", {}).get("answer") == Decision.Answer.BY_LINK:
            del advice["decision"]
    if decisions := payload.pop("decisions", ()):
        kept = [each for each in decisions if each["answer"] != Decision.Answer.BY_LINK]
        payload |= {"decisions": kept} if kept else {}


def _name_by_subject(payload: Payload, taken_back: Mapping[str, Payload]) -> None:
    """Answers to advice that is not written name fan and subject instead."""
    for each in payload.get("decisions", ()):
        if each.get("recommendation") in taken_back:
            each |= taken_back[each.pop("recommendation")]


def _taken_back(site_ids: list[int]) -> dict[str, Payload]:
    """Fan and subject of advice that a correction left out, by its id."""
    rows = Recommendation.objects.filter(superseded("visit"), fan__site__in=site_ids)
    return {
        str(pk): {"fan": tag, "subject": subject}
        for pk, tag, subject in rows.values_list("pk", "fan__tag", "subject")
    }


def _machines(site_ids: list[int]) -> Swaps:
    """Nameplates by site, tag and the day since when the machine stands there, where a visit told
    that one was replaced."""
    swapped = Action.objects.filter(kind="replaced", item="machine").values("fan")
    machines = Machine.objects.filter(
        fan__site__in=site_ids, fan__in=swapped, installed_on__isnull=False
    )
    return {
        (machine.fan.site_id, machine.fan.tag, machine.installed_on): what_says(
            {name: _plain(getattr(machine, name)) for name in sorted(PLATE_FIELDS)}
        )
        for machine in machines.select_related("fan")
        if machine.installed_on
    }


def _events(site_ids: list[int]) -> Iterator[Payload]:
    events = (
        Event.objects.standing()
        .filter(site__in=site_ids)
        .select_related("site__owner", "system", "fan")
        .prefetch_related("tipped_fans")
        .order_by("started_on", "id")
    )
    for event in events.iterator(AT_ONCE):
        yield what_says({
            "type": "event", "id": str(event.pk), **_place(event.site), "kind": event.kind,
            "started": _moment(event.started_on, event.started_minute),
            "ended": _moment(event.ended_on, event.ended_minute),
            "system": event.system.name if event.system else "",
            "fan": event.fan.tag if event.fan else "",
            "crew": event.crew, "tipped": [fan.tag for fan in event.tipped_fans.all()],
            "places_cleaned": event.places_cleaned,
            "places_not_cleaned": event.places_not_cleaned,
            "wheel_cleaned": event.wheel_cleaned or None, "resets": event.resets,
            "running_on": _plain(event.running_on), "note": event.note,
        })  # fmt: skip


def _answers(site_ids: list[int]) -> Iterator[Payload]:
    """Answers between visits; advice that a correction left out is named by fan and subject."""
    answers = (
        Decision.objects.filter(fan__site__in=site_ids, visit=None)
        .exclude(answer=Decision.Answer.BY_LINK)
        .annotate(corrected=superseded("recommendation__visit"))
        .select_related("fan__site__owner")
        .order_by("decided_on", "id")
    )
    for answer in answers.iterator(AT_ONCE):
        about: Payload = {
            **_place(answer.fan.site), "fan": answer.fan.tag, "subject": answer.subject,
        }  # fmt: skip
        if answer.recommendation_id and not answer.corrected:
            about = {"recommendation": str(answer.recommendation_id)}
        yield what_says({
            "type": "decision", "id": str(answer.pk), **about,
            "answer": answer.answer, "on": _plain(answer.decided_on),
            "not_before": _plain(answer.not_before), "decided_by": answer.decided_by,
            "note": answer.note,
        })  # fmt: skip


def _closings(site_ids: list[int]) -> Iterator[Payload]:
    closings = (
        Closing.objects.filter(~superseded("finding__visit"), finding__fan__site__in=site_ids)
        .select_related("closed_by")
        .order_by("closed_on", "id")
    )
    for closing in closings.iterator(AT_ONCE):
        yield what_says({
            "type": "closing", "id": str(closing.pk), "finding": str(closing.finding_id),
            "closed_on": _plain(closing.closed_on), "reason": closing.reason,
            "closed_by": _login(closing.closed_by),
        })  # fmt: skip


def _place(site: Site) -> Payload:
    return {"owner": site.owner.name, "site": site.name}


def _login(person: Any) -> str:
    return person.username if isinstance(person, Person) else ""


def _moment(day: date, minute: int | None) -> str:
    """By the site's clock; the day alone where the time is not known."""
    if minute is None:
        return day.isoformat()
    return f"{day.isoformat()}T{minute // 60:02}:{minute % 60:02}"


def _plain(value: Any) -> Any:
    return value.isoformat() if isinstance(value, date) else value
