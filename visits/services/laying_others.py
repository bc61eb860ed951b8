"""Lays out what is told apart from visits: events, the owner's answers, findings closed."""

from __future__ import annotations

from datetime import date

from django.utils.translation import gettext as _

from visits.models import Closing, Decision, Event
from visits.payload.entries import AnswerEntry, ClosingEntry, EventEntry
from visits.payload.moments import Local
from visits.services.ground import Ground
from visits.services.register import SiteFacts
from visits.services.stored import newest


def lay_event(ground: Ground, entry: EventEntry, site: SiteFacts, started: Local) -> None:
    """An event touches one fan, one system, or the whole site."""
    is_told = entry.ended is not entry.started
    ended = ground.moment(site, entry.ended, "/ended", started.at) if is_told else started
    ended = ended or started
    same_day = ended.on == started.on and ended.minute is not None
    # Where clocks go back over midnight, a later instant may lie on the day before.
    if ended.on < started.on or (same_day and ended.at < started.at):
        problem = _("it ends before it starts")
        ground.complain("/ended", problem, entry.ended.text, _("check both times"))
    ground.not_future(site, entry.running_on, "/running_on")
    system_id = ground.system(site, entry.system, "") if entry.system else None
    fan = ground.fan(site, entry.fan, "/fan") if entry.fan else None
    _correct(ground, entry, site)
    event = Event(
        id=entry.id,
        kind=entry.kind,
        site_id=site.id,
        system_id=system_id,
        fan_id=fan.id if fan else None,
        started_on=started.on,
        started_minute=started.minute,
        ended_on=ended.on,
        ended_minute=ended.minute,
        crew=entry.crew,
        places_cleaned=list(entry.places_cleaned),
        places_not_cleaned=list(entry.places_not_cleaned),
        wheel_cleaned=entry.wheel_cleaned,
        resets=entry.resets,
        running_on=entry.running_on,
        note=entry.note,
        supersedes_id=entry.supersedes,
        correction_reason=entry.correction_reason,
        recorded_by=ground.by,
        received_at=ground.now,
        payload_sha256=entry.sha256,
    )
    ground.rows.events.append(event)
    ground.stored.events[event.pk] = event
    found = (ground.fan(site, tag, f"/tipped/{index}") for index, tag in enumerate(entry.tipped))
    # In other capitals it is the same fan.
    tipped = dict.fromkeys(fan.id for fan in found if fan)
    ground.rows.tipped.extend((event, fan_id) for fan_id in tipped)
    if not fan:
        fans = site.fans_of(system_id) if system_id else [f.id for f in site.fans.values()]
        ground.touched.update(fans)


def _correct(ground: Ground, entry: EventEntry, site: SiteFacts) -> None:
    """A correction replaces a standing event of the same site, and may touch other fans than it."""
    if entry.supersedes is None:
        return
    old = ground.stored.events.get(entry.supersedes)
    if old is None or old.site_id != site.id or entry.supersedes in ground.stored.superseded:
        ground.complain(
            "/supersedes", _("%(site)s has no standing event of this id") % {"site": site.name},
            str(entry.supersedes), _("give the id of the newest record of it"),
        )  # fmt: skip
        return
    ground.stored.superseded.add(entry.supersedes)
    ground.touched.update(fan.id for fan in site.fans.values())


def lay_answer(ground: Ground, entry: AnswerEntry) -> None:
    """The owner's answer to a recommendation, or on a subject of a fan."""
    told = entry.decision
    if told.recommendation:
        advice_id, advice = ground.advice(told, "") or (None, None)
        fan_id, subject = (advice.fan_id, advice.subject) if advice else (0, "")
        site = ground.register.by_id.get(advice.site_id) if advice else None
    else:
        advice_id = None
        site = ground.site(told.place)
        fan = ground.fan(site, told.fan, "/fan") if site else None
        fan_id, subject = (fan.id if fan else 0), told.subject
    if told.decided_on is None:
        return
    _refuse_future(ground, site, told.decided_on, "/on")
    ground.not_before(told.not_before, told.decided_on, "/not_before")
    if not fan_id:
        return
    ground.touched.add(fan_id)
    decision = Decision(
        id=entry.id,
        fan_id=fan_id,
        recommendation_id=advice_id,
        subject=subject,
        answer=told.answer,
        decided_on=told.decided_on,
        not_before=told.not_before,
        decided_by=told.decided_by,
        note=told.note,
        recorded_by=ground.by,
        received_at=ground.now,
        payload_sha256=entry.sha256,
    )
    ground.rows.decisions.append(decision)


def lay_closing(ground: Ground, entry: ClosingEntry) -> None:
    """A finding closed with a reason, once; told of a corrected visit, it closes what was kept."""
    finding_id = newest(ground.stored.findings, entry.finding)
    finding = ground.finding(finding_id, "/finding")
    site = ground.register.by_id.get(finding.site_id) if finding else None
    _refuse_future(ground, site, entry.closed_on, "/closed_on")
    who = ground.people.get(entry.closed_by.casefold())
    if entry.closed_by and who is None:
        problem = _("nobody has this login")
        ground.complain("/closed_by", problem, entry.closed_by, _("give a login"))
    if finding is None:
        return
    # Another sender of the very same record was quicker: it meets that row in the table's key.
    if finding.closing and finding.closing.pk != entry.id:
        ground.complain(
            "/finding", _closed(finding.closing), str(entry.finding),
            _("leave this closing out; a fault that is back is a new finding"),
        )  # fmt: skip
        return
    ground.touched.add(finding.fan_id)
    closing = Closing(
        id=entry.id,
        finding_id=finding_id,
        closed_on=entry.closed_on,
        reason=entry.reason,
        closed_by_id=who.id if who else (ground.by.pk if ground.by else None),
        received_at=ground.now,
        payload_sha256=entry.sha256,
    )
    finding.closing = closing
    ground.rows.closings.append(closing)


def _closed(closing: Closing) -> str:
    told = {"day": closing.closed_on, "who": getattr(closing.closed_by, "username", "")}
    if told["who"]:
        return _("it was closed already, on %(day)s by %(who)s") % told
    return _("it was closed already, on %(day)s") % told


def _refuse_future(ground: Ground, site: SiteFacts | None, day: date, pointer: str) -> None:
    if site:
        ground.not_future(site, day, pointer)
    elif day > ground.now.date():
        problem = _("this day lies in the future")
        ground.complain(pointer, problem, str(day), _("check year and month"))
