"""A week's rounds in words: why somebody comes, what is left out and why, what a change breaks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, tzinfo
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from fleet.models import Blocker
from schedules.models import PlanChange, PlannedStop, WeekPlan
from schedules.wording.bookings import technician_name
from schedules.wording.days import day_text
from schedules.wording.money import money_text
from visits.wording import words
from visits.wording.names import Words

WHY_WORDS: Words = {
    "published": gettext_lazy("published"),
    "pinned": gettext_lazy("pinned"),
    "overdue": gettext_lazy("overdue"),
    "last_chance": gettext_lazy("would be overdue before next week's rounds"),
    "worth_it": gettext_lazy("due, and waiting costs more than coming"),
    "by_hand": gettext_lazy("due; waiting would cost less than coming"),
}
BLOCKER_WORDS: Words = {
    "lift": gettext_lazy("a lift"),
    "crane": gettext_lazy("a crane"),
    "permit": gettext_lazy("a permit"),
    "second_person": gettext_lazy("a second person"),
    "parts": gettext_lazy("parts that have not arrived"),
    "owners_yes": gettext_lazy("the owner's yes: all visits bought for the year are made"),
}
SKILL_WORDS: Words = {
    "code_inspection": gettext_lazy("code inspection"),
    "energised_work": gettext_lazy("work on live parts"),
    "lift": gettext_lazy("work from a lift"),
}
SKILL = "skill"
BROKEN_WORDS: Words = {
    "hours": gettext_lazy("outside the hours in which the roof or its fans are open to us"),
    SKILL: gettext_lazy("when it was laid, the technician was not qualified for all of it"),
    "blocked": gettext_lazy("something it needs is not there yet"),
    "too_early": gettext_lazy("before the day from which it makes sense"),
    "off": gettext_lazy("the technician does not work that day"),
    "shift": gettext_lazy("back too late or out too long for the shift"),
    "reserve": gettext_lazy("takes the time kept free for breakdowns, or overtime"),
    "required_left": gettext_lazy("work that must not wait is left out"),
}


def why_text(why: str) -> str:
    """Why a stop is in this week."""
    return words(WHY_WORDS, why)


def broken_text(code: str, lacking: Sequence[str] = ()) -> str:
    """What a stop or round breaks; ``lacking`` are qualifications that whoever goes has not."""
    if code == SKILL and lacking:
        told = _("the technician is not recorded as qualified for {skills}")
        return told.format(skills=skills_text(lacking))
    return words(BROKEN_WORDS, code)


def skills_text(names: Sequence[str]) -> str:
    """Qualifications as a list."""
    return ", ".join(words(SKILL_WORDS, name) for name in names)


def needs_text(skills: Sequence[str]) -> str:
    """For whom a stop is; empty where anybody may go."""
    if not skills:
        return ""
    return _("only by somebody qualified for {skills}").format(skills=skills_text(skills))


def blockers_text(names: Sequence[str]) -> str:
    """What has to be there first."""
    return _(" and ").join(words(BLOCKER_WORDS, name) for name in names)


def left_out_text(reason: str, args: Mapping[str, Any]) -> str:
    """Why due work is left out, with its numbers."""
    names = args.get("names", ())
    needed, free = _minutes(args.get("needed_minutes")), _minutes(args.get("free_minutes"))
    sentences = {
        "blocked": lambda: _("waits for {what}").format(what=blockers_text(names)),
        "not_yet": lambda: _("may be visited only after this week"),
        "nobody_skilled": lambda: _("nobody is recorded as qualified for {skills}").format(
            skills=skills_text(names)
        ),
        "skilled_away": lambda: _("nobody qualified for {skills} works on the days left").format(
            skills=skills_text(names)
        ),
        "no_hours": lambda: _("no hours on these days are long enough: it takes {needed}").format(
            needed=needed
        ),
        "too_far": lambda: _("the trip takes {needed}, the longest shift has {free}").format(
            needed=needed, free=free
        ),
        "hours_miss_shifts": lambda: _("its hours and the shifts do not meet"),
        "costs_more": lambda: _("coming costs {cost}, more than waiting").format(
            cost=money_text(round(args["cost"]))
        ),
        "full": lambda: _full_text(args),
        "no_place": lambda: _("the site has no coordinates"),
        "room": lambda: _("{who} has time for it on {day}; coming would cost {cost}").format(
            who=args["technician"], day=_day(args["day"]), cost=money_text(round(args["cost"]))
        ),
        "taken_out": lambda: _("taken out by {who}").format(who=args.get("by") or _("hand")),
    }
    return sentences[reason]() if reason in sentences else reason


def _full_text(args: Mapping[str, Any]) -> str:
    """No round has room: for want of minutes, or of minutes at the right hours."""
    needed, free = args["needed_minutes"], args["free_minutes"]
    told = _("no time left: it takes {needed}, the emptiest round has {free}")
    if free >= needed:
        told = _("no round has {needed} and the way left at its hours; the emptiest has {free}")
    return told.format(needed=length_text(needed), free=length_text(free))


def length_text(minutes: float) -> str:
    """``1 h 05``, ``40 min``."""
    hours, rest = divmod(round(minutes), 60)
    if not hours:
        return _("{minutes} min").format(minutes=rest)
    return _("{hours} h {minutes:02d}").format(hours=hours, minutes=rest)


def _minutes(minutes: int | None) -> str:
    return _("some time") if minutes is None else length_text(minutes)


def stale_text(plan: WeekPlan, changes: Sequence[PlanChange], zone: tzinfo) -> str:
    """That somebody else was first, and what they did."""
    told = "; ".join(change_text(change, zone) for change in changes[-3:])
    more = len(changes) - 3
    if more > 0:
        told += " " + ngettext(
            "and {more} change before", "and {more} changes before", more
        ).format(more=more)
    told = told or _("it was changed often since")
    return _("Meanwhile the draft of {week} was changed: {told}. Look at it again.").format(
        week=plan, told=told
    )


def change_text(change: PlanChange, zone: tzinfo) -> str:
    """``D. Reyes moved Mill Lane to Wed 9 Dec, J. Park (9:12)``, by the clock of ``zone``."""
    who = technician_name(change.by) if change.by else _("The command")
    return _("{who} {did} ({when})").format(
        who=who, did=did_text(change), when=date_format(change.at.astimezone(zone), "H:i")
    )


def did_text(change: PlanChange) -> str:
    """What was done, without who; of what was undone, what that had been."""
    args: Any = change.args
    place = {
        "site": args.get("site", ""), "other": args.get("other", ""),
        "technician": args.get("technician", ""), "day": _day(args.get("day")),
        "number": args.get("number", ""),
    }  # fmt: skip
    did = {
        "plan": _("planned the week"),
        "move": _("moved {site} to {day}, {technician}"),
        "order": _("moved {site} within {day}, {technician}"),
        "swap": _("swapped {site} and {other}"),
        "pin": _("pinned {site} to {day}, {technician}"),
        "unpin": _("unpinned {site}"),
        "take_out": _("took {site} out"),
        "put_in": _("put {site} into {day}, {technician}"),
        "undo": _("undid a change"),
        "publish": _("published version {number}"),
    }
    kind = args.get("undid", change.kind)
    told = did.get(kind, kind).format(**place)
    return _("undid: {what}").format(what=told) if "undid" in args else told


def _day(told: str | None) -> str:
    return day_text(date.fromisoformat(told)) if told else ""


def when_told_text() -> str:
    """How technicians learn of what is published."""
    return _(
        "Technicians’ calendars show it when their programs next fetch them; the letter about a "
        "day goes out at 17:00 on the working day before, of a day nearer than that within half "
        "an hour."
    )


def planned_note(stop: PlannedStop) -> str:
    """What a technician's booking says of a planned stop: its fans."""
    tags = list(dict.fromkeys(work.fan.tag for work in stop.fans.all()))
    if not tags:
        return ""
    shown = ", ".join(tags[:20]) + (" …" if len(tags) > 20 else "")
    return _("Planned: {fans}.").format(fans=shown)


def blocker_text(blocker: Blocker) -> str:
    """What is known of a blocker: its note, and from when it is cleared."""
    cleared = blocker.cleared_on
    when = _("there from {day}").format(day=day_text(cleared)) if cleared else ""
    return ", ".join(filter(None, [blocker.note, when]))
