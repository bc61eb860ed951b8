"""The kitchen's own look after a storm: asked by a planner, told by a link, passed on the same day.

It settles no inspection and moves no date.  Whoever plans may take a storm's date away by entering
the day on which the kitchen said that all runs with the event itself (rule 7, rules.md C).
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from functools import partial

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from config.collisions import in_one_transaction
from fleet.models import OwnerLink, Site
from schedules.answering import NotAnsweredError, who_text
from schedules.models import Notice
from schedules.notices.answered import Said, asked_letter, tell_planners
from schedules.notices.writing import write_letter
from visits.models import RunningTold
from visits.services import RunningAnswers, record_running
from visits.wording import RUNNING, words

MOST_A_DAY = 20
"""Pages of one site that may be sent in a day; our choice, against a flood of letters."""


def ask_kitchen(*, site: Site, now: datetime) -> str:
    """Owe the site's owner the question, once a day; ``asked``, ``already`` or ``unreachable``."""
    today = now.astimezone(site.zone).date()
    letter = asked_letter(site, f"site-{site.pk}.{today}", now)
    if letter is None:
        return "unreachable"
    return "asked" if write_letter(letter, now) else "already"


@in_one_transaction
def kitchen_told(*, link: OwnerLink, told: RunningAnswers, now: datetime) -> Sequence[RunningTold]:
    """Record what a kitchen said; a fan that does not run is told to those who plan at once.

    Raises NotAnsweredError where too many pages came today, ValueError for a fan elsewhere.
    """
    rows, is_new = record_running(link=link, told=told, now=now)
    if is_new:
        _refuse_flood(link, now)
        _pass_on(link, rows, told, now)
    return rows


def _refuse_flood(link: OwnerLink, now: datetime) -> None:
    lately = RunningTold.objects.filter(
        fan__site=link.site_id, received_at__gt=now - timedelta(days=1)
    )
    if lately.order_by().values("received_at").distinct().count() > MOST_A_DAY:
        raise NotAnsweredError("flood")


def _pass_on(
    link: OwnerLink, rows: Sequence[RunningTold], told: RunningAnswers, now: datetime
) -> None:
    stopped = [row for row in rows if row.answer == RunningTold.Answer.NOT_RUNNING]
    if not stopped or link.site is None:
        return
    saying = partial(_said, link.site, rows, stopped, told, now)
    for letter in tell_planners(Notice.Kind.TOLD, str(told.page_id), saying):
        write_letter(letter, now)


def _said(
    site: Site,
    rows: Sequence[RunningTold],
    stopped: Sequence[RunningTold],
    told: RunningAnswers,
    now: datetime,
) -> Said:
    tags = ", ".join(row.fan.tag for row in stopped)
    return Said(
        subject=_("Not running: {tags} at {site}").format(tags=tags, site=site.name),
        heading=ngettext(
            "The kitchen says that {tags} at {site} is not running.",
            "The kitchen says that {tags} at {site} are not running.",
            len(stopped),
        ).format(tags=tags, site=site.name),
        who=who_text(told.name, now.astimezone(site.zone)),
        shown="\n".join(
            [*(f"{row.fan.tag}: {words(RUNNING, row.answer)}" for row in rows), told.note]
        ).strip(),
        next=_(
            "Call the kitchen: no cooking under a hood whose fan stands, and no resetting of a "
            "breaker again and again. No date was moved by this."
        ),
        path=reverse("site_page", args=[site.pk]),
    )
