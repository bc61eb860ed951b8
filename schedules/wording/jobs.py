"""What runs by itself, in words: when it ran, what came of it, what stands still."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from schedules.jobs.status import EntryStatus
from schedules.models import Job


def entry_name(name: str) -> str:
    """The entry as the page calls it."""
    names = {
        "fit failure odds": _("Fit failure odds"),
        "learn what waiting costs": _("Learn what waiting costs"),
        "reckon changed fans": _("Reckon changed fans"),
        "reckon every fan": _("Reckon every fan"),
        "write notices": _("Write notices"),
        "send notices": _("Send notices"),
        "plan asked weeks": _("Plan weeks that somebody asked for"),
        "find patterns": _("Look for what keeps failing"),
        "sweep photos": _("Sweep photos"),
        "clean up": _("Clean up"),
    }
    return names.get(name, name)


def result_text(line: EntryStatus) -> str:
    """What came of its latest turn, or what keeps it."""
    job = line.job
    if job.parked_at:
        return _("Parked, see below.")
    if line.is_late:
        return _("Not taken up. No timetable or no worker runs, or they are busy.")
    if line.ranges_left:
        return ngettext(
            "{count} so far, {left} range of fans to go.",
            "{count} so far, {left} ranges of fans to go.", line.ranges_left,
        ).format(count=_count_text(job), left=line.ranges_left)  # fmt: skip
    if job.fault:
        return _("Did not go well, comes again soon: {fault}").format(fault=job.fault)
    if job.turn is None:
        return _("Not run yet.")
    if job.ended_at is None:
        return _("In hand.")
    return _("{count}.").format(count=_count_text(job)) if job.count else _("Nothing to do.")


def _count_text(job: Job) -> str:
    count = job.count
    match job.entry:
        case "reckon changed fans" | "reckon every fan":
            text = ngettext("{count} fan reckoned", "{count} fans reckoned", count)
        case "fit failure odds":
            text = ngettext(
                "{count} fan to be reckoned again", "{count} fans to be reckoned again", count
            )
        case "learn what waiting costs":
            text = ngettext("{count} figure learned", "{count} figures learned", count)
        case "find patterns":
            text = ngettext("{count} open pattern", "{count} open patterns", count)
        case "write notices":
            text = ngettext("{count} notice written", "{count} notices written", count)
        case "send notices":
            text = ngettext("{count} notice sent", "{count} notices sent", count)
        case "plan asked weeks":
            text = ngettext("{count} week planned", "{count} weeks planned", count)
        case "sweep photos":
            text = ngettext("{count} file thrown out", "{count} files thrown out", count)
        case _:
            text = ngettext("{count} row thrown out", "{count} rows thrown out", count)
    return text.format(count=count)


def took_text(took: timedelta | None) -> str:
    """``under a second``, ``4 s``, ``3 min``; a dash where it has not ended."""
    if took is None:
        return "–"
    seconds = max(took.total_seconds(), 0.0)
    if seconds < 1:
        return _("under a second")
    if seconds < 60:
        return _("{seconds} s").format(seconds=round(seconds))
    return _("{minutes} min").format(minutes=round(seconds / 60))


def at_text(moment: datetime | None) -> str:
    """``Mon 15 Jun, 12:10 UTC``; a dash where there is none."""
    return date_format(moment, "D j M, H:i e") if moment else "–"


def ago_text(since: datetime, now: datetime) -> str:
    """How long something has been waiting: ``4 minutes``, ``3 hours``, ``2 days``."""
    minutes = max(int((now - since).total_seconds() // 60), 0)
    if minutes < 120:
        return ngettext("{n} minute", "{n} minutes", minutes).format(n=minutes)
    hours = minutes // 60
    if hours < 48:
        return ngettext("{n} hour", "{n} hours", hours).format(n=hours)
    return ngettext("{n} day", "{n} days", hours // 24).format(n=hours // 24)


def parked_name(job: Job) -> str:
    """The entry, and of a range its fans."""
    name = entry_name(job.entry)
    if not job.fans:
        return name
    return _("{entry}: fans {first} to {last}").format(
        entry=name, first=job.first_fan, last=job.last_fan
    )
