"""One fan as a phone takes it along: plate, past, what is open, what to look at, the limits."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import Any

from django.urls import reverse

from fleet.models import Machine
from fleet.plates import PLATE_FIELDS
from fleet.quantities import CONTEXT, LOOK_LISTS, QUANTITIES
from schedules.engine import walk_through
from schedules.engine.findings import Finding
from schedules.fan_page.cautions import is_unsafe_to_tip, no_prop_text
from schedules.fan_page.driving import made_safe_text
from schedules.fan_page.plate import PLATE_WORDS, feed_facts, machine_facts
from schedules.fan_page.typed import is_read, reading_of
from schedules.phone.bounds import is_asked
from schedules.phone.form import OFFERED
from schedules.phone.gathering import FanPack
from schedules.phone.limits import tell_derived, tell_reading, tell_states
from schedules.phone.past import happenings, visit_entries
from schedules.round_sheet.cautions import cautions_at
from schedules.round_sheet.fan_file import VERDICTS as VERDICT_OF
from schedules.round_sheet.fan_file import FanFile
from schedules.round_sheet.records import Advice, Record, check_of
from schedules.wording import short_day, told_text
from schedules.wording.causes import why_words
from schedules.wording.owners.waiting import waiting_told
from visits.services.past import resets
from visits.wording import ANSWERS, subject_words, words
from visits.wording.names import upper_first

Told = dict[str, Any]
AS_PRINTED = ("model", "serial", "volts", "full_load_amps")
NOT_A_PLATE = ("id", "fan", "removed_on")


def tell_fan(pack: FanPack, day: date) -> Told:
    """Everything of one fan but how it stands beside its neighbours, for work on that day."""
    fan, record = pack.file.fan, pack.record
    plate, feed = record.plate, record.feed
    machine = next((each for each in fan.machines.all() if each.removed_on is None), None)
    offered = [name for name in OFFERED if is_asked(name, plate, feed)]
    return {
        "id": fan.pk,
        "site": fan.site_id,
        "system": fan.system_id,
        "tag": fan.tag,
        "place": fan.place,
        "machine": machine.pk if machine else None,
        "motor": plate.motor_type,
        "control": feed.control,
        "belt": record.is_belt_driven,
        "plate": list(_plate(machine)) + [[fact.term, fact.text] for fact in _feed(pack)],
        "plate_fields": _fields(machine),
        "due": _due(pack),
        "record": visit_entries(pack),
        "happened": list(happenings(pack)),
        "findings": [_finding(each, record) for each in record.open],
        "advice": [_advice(each) for each in record.advice],
        "made_safe": made_safe_text(record.made_safe) if record.made_safe else None,
        "cautions": list(_cautions(pack.file)),
        "look": pack.file.look_at if pack.file.dates else _whole_walk(pack),
        "read": list(_to_read(pack, offered)),
        "left_to_others": [each.subject for each in pack.file.left_to_others],
        "fields": {name: _field(name, record) for name in offered},
        "derived": tell_derived(plate, feed, offered),
        "context": _context(record),
        "causes": _causes(pack),
        "waiting": _waiting(pack, day),
        "thumbnails": [_thumbnail(each) for each in pack.photos],
    }


def _plate(machine: Machine | None) -> Iterator[list[str]]:
    if machine is None:
        return
    for name in AS_PRINTED:
        if text := getattr(machine, name):
            yield [str(PLATE_WORDS[name]), text]
    yield from ([fact.term, fact.text] for fact in machine_facts(machine))


def _feed(pack: FanPack) -> list[Any]:
    feeds = list(pack.file.fan.feeds.all())
    return list(feed_facts(feeds[-1])) if feeds else []


def _fields(machine: Machine | None) -> Told:
    """The register's own fields, those that say anything."""
    if machine is None:
        return {}
    names = [f.name for f in Machine._meta.concrete_fields if f.name not in NOT_A_PLATE]
    told = {name: getattr(machine, name) for name in names if _is_told(name)}
    return {name: value for name, value in told.items() if value not in (None, "", [])}


def _is_told(name: str) -> bool:
    return name in PLATE_FIELDS or name in TOLD_BESIDE


TOLD_BESIDE = frozenset({
    "installed_on", "model", "serial", "drive", "belt", "sheaves", "wheel", "bearings",
    "unreadable",
})  # fmt: skip
"""What is told of a machine beside the plate that limits go by."""


def _due(pack: FanPack) -> Told:
    """What asks for the visit, by when; dates are those reckoned last."""
    record, line = pack.record, pack.line
    state = line.state if line else None
    return {
        "on": state.due_on if state else None,
        "overdue_after": state.overdue_after if state else None,
        "sentences": [told_text(told, record.seen.get(told.rule)) for told in pack.file.dates],
    }


def _finding(found: Finding, record: Record) -> Told:
    rows = [row for row in record.notes if row["subject"] == found.subject]
    row = rows[-1] if rows and rows[-1]["closed_on"] is None else None
    return {
        "id": str(row["id"]) if row else None,
        "subject": found.subject,
        "item": found.item,
        "name": upper_first(subject_words(found.subject)),
        "words": row["note"] if row else "",
        "verdict": VERDICT_OF[found.verdict],
        "since": date.fromordinal(found.seen_day),
    }


def _advice(advice: Advice) -> Told:
    row = advice.row
    return {
        "recommendation": str(row.pk),
        "subject": row.subject,
        "words": row.text,
        "cost": row.cost,
        "on": row.visit.local_on,
        "answer": advice.answer or None,
        "answer_words": words(ANSWERS, advice.answer) if advice.answer else "",
        "answered_on": advice.answered_on,
        "ours": advice.is_ours_to_do,
    }


def _cautions(file: FanFile) -> Iterator[str]:
    if not is_unsafe_to_tip(file.record.checks):
        yield no_prop_text()
    yield from cautions_at(file)


def _whole_walk(pack: FanPack) -> list[str]:
    """What a walk looks at, for a fan of which nothing is reckoned yet."""
    walk = LOOK_LISTS[walk_through.LISTS[pack.record.is_belt_driven]]
    return list(dict.fromkeys([*walk, *pack.file.look_at]))


def _to_read(pack: FanPack, offered: Iterable[str]) -> Iterator[str]:
    wanted = {name for each in pack.file.ahead for name in each.quantities}
    wanted.update(pack.file.to_note)
    return (name for name in offered if name in wanted)


def _field(name: str, record: Record) -> Told:
    """How one thing is judged here, and what was found last."""
    last = _last(name, record)
    found = {"last": last} if last else {}
    if QUANTITIES[name].is_seen:
        slight = name == "vibration_felt" and felt_slight_before(record)
        return found | tell_states(name, record.plate, record.feed, slight_before=slight)
    return found | tell_reading(name, record.plate, record.feed, _context(record))


def _last(name: str, record: Record) -> Told:
    """What was read of it last on this machine: value in the registry's unit, and in words."""
    row = record.last_read(name)
    if row is None:
        return {}
    check = check_of(row)
    on = row["visit__local_on"]
    if QUANTITIES[name].is_seen:
        return {"value": row[name], "on": on}
    told = row["typed"].get(name, {})
    text = reading_of(check, name) if is_read(check, name) else ""
    return {
        "value": row[name],
        "unit": told.get("unit") or QUANTITIES[name].unit,
        "on": on,
        "words": f"{text}, {short_day(on, record.day)}",
    }


def _context(record: Record) -> Mapping[str, str]:
    """How meters were used when this machine was read last."""
    found = {}
    for each in CONTEXT:
        rows = (row for row in reversed(record.checks) if row[each.name])
        if row := next(rows, None):
            found[each.name] = row[each.name]
    return found


def felt_slight_before(record: Record) -> bool:
    """Whether this machine's vibration felt slight before, since work it starts anew from."""
    machine = record.machine["id"] if record.machine else None
    slight = [row for row in record.checks if row["vibration_felt"] == "slight"]
    if not slight or slight[-1]["machine_id"] != machine:
        return False
    last = slight[-1]
    is_left = last["stage"] == "as_left"
    return not any(
        row["visit__began_at"] > last["visit__began_at"]
        or (row["visit_id"] == last["visit_id"] and not is_left)
        for row in record.actions
        if resets(row["kind"], row["item"])
    )


def _causes(pack: FanPack) -> Told:
    """By item what may have made it fail, or would have if it were found so, and where to look."""
    found = {}
    for each in pack.failed:
        told = why_words(each.why, each.loss.failed_on)
        found[each.loss.item] = {
            "lead": told.lead if each.loss.finding_id else "",
            "causes": [f"{cause.name}: {cause.band}" for cause in told.causes],
            "next": list(told.looks),
            "cautions": list(told.cautions),
        }
    return found


def _waiting(pack: FanPack, day: date) -> str | None:
    """Not of a visit of that day: whoever reads this on the roof is making it."""
    if pack.line is None:
        return None
    booked = pack.line.booked
    if pack.line.may_run and booked is not None and booked.day <= day:
        return None
    return waiting_told(pack.line, pack.stake).cost or None


def _thumbnail(photo: Any) -> Told:
    subject = upper_first(subject_words(photo.subject)) if photo.subject else ""
    return {
        "photo": str(photo.pk),
        "caption": ": ".join(filter(None, [subject, photo.caption])),
        "url": reverse("photo_thumbnail", args=[photo.pk]),
    }
