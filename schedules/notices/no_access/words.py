"""A roof without a way up, in words: in a letter of its own, and in the weekly one."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from schedules import wording
from schedules.done.misses import NoWayUp
from schedules.notices.letter import LetterWords, drawn_for_owner, one_line, site_name
from schedules.wording.done import days_list

MOST_DAYS = 4
"""The newest ones, where there were more."""


@dataclass(frozen=True)
class NoWayWords:
    """One roof: its name, what happened, what is needed."""

    name: str
    happened: str
    needs: str


def no_access_words(told: NoWayUp, now: datetime) -> LetterWords:
    """The letter's subject, text and page."""
    subject = _("We could not get onto the roof: {site}").format(site=one_line(told.site.name))
    return drawn_for_owner("no_access", subject, told.site.owner, now, {"roof": no_way_words(told)})


def no_way_words(told: NoWayUp) -> NoWayWords:
    """One roof as its owner reads of it."""
    days = told.days[-MOST_DAYS:]
    happened = [
        _("We could not get onto the roof on {days}.").format(days=days_list(days)),
        ngettext(
            "{fans} has not been looked at", "{fans} have not been looked at", len(told.tags)
        ).format(fans=", ".join(map(one_line, told.tags))),
    ]
    since = _(" since {day}.").format(day=wording.day_text(told.seen_on)) if told.seen_on else "."
    needs = [_("Tell us who opens for us, and in which hours, or where the key is.")]
    if hours := wording.week_text(told.site.roof_access_hours):
        needs.append(_("We have on record: roof open {hours}.").format(hours=hours))
    needs.append(_("If the way up is not safe or not there any more, tell us that."))
    return NoWayWords(site_name(told.site), " ".join(happened) + since, " ".join(needs))
