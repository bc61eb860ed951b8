"""Reads one visit: its own lines first, then checks, findings, work, advice and the rest."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any, TypeVar
from uuid import UUID

from django.utils.translation import gettext as _

from fleet.quantities import QUANTITIES
from fleet.services.machines import PLATE_FIELDS
from visits.payload.crowded import refuse_crowded
from visits.payload.entries import (
    ActionEntry,
    CheckEntry,
    DecisionEntry,
    FindingEntry,
    InspectionEntry,
    MadeSafeEntry,
    NotReachedEntry,
    Place,
    RecommendationEntry,
    VisitEntry,
)
from visits.payload.fields import LONG, SHORT, Fields, escaped
from visits.payload.moments import Moment
from visits.payload.names import ITEMS, SUBJECTS
from visits.payload.plates import plate_fields, read_plate_entry, refuse_repeated_plates
from visits.payload.reached import refuse_unreached_yet_answered
from visits.payload.readings import read_readings

KINDS = (
    "walk_through", "maintenance", "service_call", "replacement", "code_inspection", "start_up",
)  # fmt: skip
STAGES = ("as_found", "as_left")
SEVERITY_VERDICT = {"incipient": "watch", "degraded": "act", "critical": "stop"}
ITEM_OF_WORK = {
    "balanced": "wheel", "speed_changed": "drive", "remounted": "curb", "regreased": "bearings",
}  # fmt: skip
WORK = ("adjusted", "cleaned", "repaired", "replaced", "temporary", *ITEM_OF_WORK)
REASONS = ("no_access", "weather", "unsafe", "no_time", "parts", "not_stopped", "other")
ANSWERS = ("go_ahead", "not_now", "declined", "question", "by_link")
SWITCH = ("on", "off")
ABOUT = tuple(sorted(SUBJECTS | ITEMS))
MOST_FANS, MOST_ROWS = 200, 1_000
LONGEST_VISIT_DAYS = 31
"""Our choice: a replacement may take weeks; what lasts longer is several visits, or a slip."""
NO_DAY = date(2, 1, 1)
"""Stands where none could be read; not the calendar's first, which is in no year by UTC in Asia."""

T = TypeVar("T")


def read_visit(fields: Fields, id_: UUID, sha256: str) -> VisitEntry:
    """The visit; whatever is wrong with it is added to the complaints of ``fields``."""
    visit = VisitEntry(
        id=id_,
        sha256=sha256,
        place=read_place(fields),
        kind=fields.choice("kind", KINDS, must=True),
        began=fields.moment("began_at", must=True) or Moment(NO_DAY),
        ended=fields.moment("ended_at"),
        technician=fields.text("technician", longest=120),
        inspector_qualified=bool(fields.flag("inspector_qualified")),
        notes=fields.text("notes", longest=LONG),
        supersedes=fields.identity("supersedes"),
        correction_reason=fields.text("correction_reason"),
        checks=_all(fields, "checks", _check),
        findings=_all(fields, "findings", _finding),
        actions=_all(fields, "actions", _action),
        recommendations=_all(fields, "recommendations", _recommendation),
        decisions=_all(fields, "decisions", read_decision),
        not_reached=_all(fields, "not_reached", _not_reached),
        made_safe=_all(fields, "made_safe", _made_safe),
        inspections=_all(fields, "inspections", _inspection),
        plates=_all(fields, "plates", read_plate_entry),
    )
    refuse_unreasoned(fields, visit.supersedes, visit.correction_reason)
    refuse_crowded(fields, visit)
    _refuse_repeated_checks(fields, visit)
    refuse_repeated_plates(fields, visit.plates)
    refuse_unreached_yet_answered(fields, visit)
    if visit.ended:
        what = _("visit")
        refuse_endless(fields, "ended_at", visit.began, visit.ended, LONGEST_VISIT_DAYS, what)
    return visit


def read_place(fields: Fields) -> Place:
    """Owner and site by name, or the site's id."""
    if fields.has("site_id"):
        number = fields.number("site_id", 1, 2**53)
        return Place(site_id=int(number or 0), owner=fields.text("owner"), site=fields.text("site"))
    remedy = _("give owner and site as in the register, or site_id instead of both")
    owner, site = (fields.text(key, must=True, remedy=remedy) for key in ("owner", "site"))
    return Place(owner=owner, site=site)


def refuse_unreasoned(fields: Fields, supersedes: UUID | None, reason: str) -> None:
    """A correction says why, and a reason says what it corrects."""
    if supersedes and not reason:
        problem = _("a correction without a reason")
        fields.complain("correction_reason", problem, None, _("say what was wrong"))
    if reason and not supersedes:
        fields.complain(
            "supersedes", _("a reason to correct, but nothing corrected"), reason,
            _("give the id of the record it replaces"),
        )  # fmt: skip


def refuse_endless(
    fields: Fields, key: str, began: Moment, ended: Moment, most_days: int, what: str
) -> None:
    """Complain of an end years after its beginning: of days as written, whatever the zone."""
    days = (ended.day - began.day).days
    if days > most_days and began.day != NO_DAY:
        problem = _("it lasts %(days)s days") % {"days": f"{days:,}"}
        remedy = _("check year and month; the longest %(what)s taken is %(days)s days")
        fields.complain(key, problem, fields.raw(key), remedy % {"what": what, "days": most_days})


def _refuse_repeated_checks(fields: Fields, visit: VisitEntry) -> None:
    seen: set[tuple[str, str]] = set()
    for check in visit.checks:
        key = (check.fan.casefold(), check.stage)
        if key in seen and check.fan:
            fields.complain(
                check.pointer.removeprefix(f"{fields.pointer}/"),
                _("a second check of this fan as left")
                if check.stage == "as_left"
                else _("a second check of this fan as found"),
                check.fan,
                _("put all readings of a stage into one check"),
            )
        seen.add(key)


def _all(fields: Fields, key: str, read: Callable[[Fields], T]) -> tuple[T, ...]:
    entries = []
    for row in fields.rows(key, MOST_FANS if key == "checks" else MOST_ROWS):
        entries.append(read(row))
        row.close()
    return tuple(entries)


def _tag(fields: Fields) -> str:
    return fields.text("fan", must=True, longest=40)


def _check(fields: Fields) -> CheckEntry:
    return CheckEntry(
        pointer=fields.pointer,
        fan=_tag(fields),
        stage=fields.choice("stage", STAGES) or "as_found",
        readings=read_readings(fields),
        lasting=fields.words("lasting", 50, sorted(SUBJECTS)),
        recheck=_recheck(fields),
        switch_left=fields.choice("switch_left", SWITCH),
        notes=fields.text("notes", longest=LONG),
    )


def _recheck(fields: Fields) -> dict[str, date]:
    inner = fields.named("recheck")
    days: dict[str, date] = {}
    for subject in inner.names():
        day = inner.day(subject)
        if subject not in SUBJECTS:
            known = sorted(SUBJECTS)
            inner.refuse_word(escaped(subject), _("this subject is not known"), subject, known)
        elif day:
            days[subject] = day
    return days


def _about(fields: Fields) -> tuple[str, str]:
    """Subject and item of a finding: either gives the other where it can."""
    subject = fields.choice("subject", sorted(SUBJECTS))
    item = fields.choice("item", sorted(ITEMS))
    if not fields.has("subject") and not fields.has("item"):
        problem = _("neither subject nor item")
        fields.complain("subject", problem, None, _("say what the fault is on"))
    return subject, item or item_of(subject)


def item_of(subject: str) -> str:
    """The maintainable item a subject belongs to."""
    if subject in QUANTITIES:
        return QUANTITIES[subject].item
    return _ITEM_OF_SUBJECT.get(subject, subject)


_ITEM_OF_SUBJECT = {q.rule: q.item for q in QUANTITIES.values() if q.rule not in ("", "seen")} | {
    "grease_hood": "duct", "grease_duct": "duct", "grease_housing": "housing", "poles": "switch",
    "volts_unbalance": "supply", "lost_phase": "supply", "amps_unbalance": "motor",
    "winding_unbalance": "motor",
}  # fmt: skip


def _finding(fields: Fields) -> FindingEntry:
    subject, item = _about(fields)
    severity = fields.choice("severity", tuple(SEVERITY_VERDICT), must=True)
    verdicts = tuple(SEVERITY_VERDICT.values())
    verdict = fields.choice("verdict", verdicts) or SEVERITY_VERDICT.get(severity, "")
    lasting = bool(fields.flag("lasting"))
    if lasting and verdict == "stop":
        fields.complain("lasting", _("a stop cannot be lasting"), True, _("leave lasting out"))
    return FindingEntry(
        pointer=fields.pointer,
        id=fields.own_id(),
        fan=_tag(fields),
        subject=subject,
        item=item,
        severity=severity,
        verdict=verdict,
        failure_mode=fields.text("failure_mode", longest=8).upper(),
        mechanism=fields.text("mechanism", longest=40),
        cause=fields.text("cause", longest=40),
        loss_of_function=bool(fields.flag("loss_of_function")),
        lasting=lasting,
        failed_on=fields.day("failed_on"),
        recheck_on=fields.day("recheck_on"),
        note=fields.text("note", longest=LONG),
    )


def _action(fields: Fields) -> ActionEntry:
    kind = fields.choice("kind", WORK, must=True)
    item = fields.choice("item", ABOUT, must=kind not in ITEM_OF_WORK)
    machine = _machine(fields, kind, item)
    return ActionEntry(
        pointer=fields.pointer,
        fan=_tag(fields),
        kind=kind,
        item=item or ITEM_OF_WORK.get(kind, ""),
        part=fields.text("part", longest=120),
        note=fields.text("note", longest=LONG),
        machine=machine,
    )


def _machine(fields: Fields, kind: str, item: str) -> dict[str, Any] | None:
    """The new nameplate as given; the register itself says what it may hold."""
    inner = fields.inner("machine")
    if (kind, item) == ("replaced", "machine"):
        if inner is None:
            fields.complain(
                "machine", _("a machine replaced without its nameplate"), None,
                _("give the plate's fields, or {} where nobody read it"),
            )  # fmt: skip
            return None
        return plate_fields(inner, sorted(PLATE_FIELDS))
    if inner is not None:
        fields.complain(
            "machine", _("a nameplate, but no machine replaced"), kind,
            _('give it with kind "replaced" and item "machine"'),
        )  # fmt: skip
    return None


def read_decision(fields: Fields) -> DecisionEntry:
    """An answer inside a visit, or told by itself."""
    recommendation = fields.identity("recommendation")
    alone = recommendation is None
    told = _answer(fields)
    if alone and told["answer"] == "by_link":
        fields.complain(
            "recommendation", _("a link is asked for to answer advice"), None,
            _("name the advice's id"),
        )  # fmt: skip
    return DecisionEntry(
        pointer=fields.pointer,
        id=fields.own_id(),
        recommendation=recommendation,
        fan=fields.text("fan", must=alone, longest=40),
        subject=fields.choice("subject", ABOUT, must=alone),
        **told,
    )


def _answer(fields: Fields) -> dict[str, Any]:
    return {
        "answer": fields.choice("answer", ANSWERS, must=True),
        "decided_on": fields.day("on", must=True),
        "not_before": fields.day("not_before"),
        "decided_by": fields.text("decided_by", longest=120),
        "note": fields.text("note", longest=LONG),
    }


def _recommendation(fields: Fields) -> RecommendationEntry:
    inner = fields.inner("decision")
    decision = None
    if inner is not None:
        decision = DecisionEntry(pointer=inner.pointer, id=inner.own_id(), **_answer(inner))
        inner.close()
    return RecommendationEntry(
        pointer=fields.pointer,
        id=fields.own_id(),
        fan=_tag(fields),
        subject=fields.choice("subject", ABOUT, must=True),
        text=fields.text("text", must=True, longest=LONG),
        cost=fields.money("cost"),
        decision=decision,
    )


def _not_reached(fields: Fields) -> NotReachedEntry:
    return NotReachedEntry(
        pointer=fields.pointer,
        fan=_tag(fields),
        item=fields.choice("item", ABOUT),
        reason=fields.choice("reason", REASONS, must=True),
        note=fields.text("note", longest=SHORT),
    )


def _made_safe(fields: Fields) -> MadeSafeEntry:
    return MadeSafeEntry(
        pointer=fields.pointer,
        fan=_tag(fields),
        told=fields.text("told", must=True, longest=120),
        lock_holder=fields.text("lock_holder", longest=120),
        cook_line_stopped=fields.flag("cook_line_stopped"),
        restarts_when=fields.text("restarts_when"),
        promised_on=fields.day("promised_on"),
    )


def _inspection(fields: Fields) -> InspectionEntry:
    return InspectionEntry(
        pointer=fields.pointer,
        system=fields.text("system", longest=80),
        areas_not_cleaned=fields.text("areas_not_cleaned", longest=LONG),
    )
