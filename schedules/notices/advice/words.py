"""The reminder of advice in words: found, advised, its cost, what may come of waiting."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.models import Agreement, Owner
from fleet.quantities import item_of
from schedules.due.bought import spending_limit
from schedules.notices.advice.asking import Asked
from schedules.notices.found import doubts_of, found_by_owner
from schedules.notices.letter import (
    LetterWords,
    drawn_for_owner,
    fan_name,
    lines_in,
    site_name,
)
from schedules.wording import day_text, money_text
from schedules.wording.owners import limit_told
from visits.models import Photo
from visits.models.visits import with_those_corrected
from visits.wording import left_so


@dataclass(frozen=True)
class AdviceWords:
    """One piece of advice."""

    where: str
    day: str
    found: list[str]
    lines: list[str]
    cost: str
    limit: str
    left_so: str
    again: str


def advice_words(owner: Owner, asked: Sequence[Asked], now: datetime) -> LetterWords:
    """The letter of one day to one owner."""
    asked = sorted(asked, key=lambda each: (each.row.fan.site.name, each.row.fan.tag, each.since))
    agreements = list(owner.agreements.order_by("starts_on"))
    rows = [_advice(each, agreements, now) for each in asked]
    visits = with_those_corrected({each.row.visit_id for each in asked})
    fans = {each.row.fan_id for each in asked}
    photos = Photo.objects.standing().filter(visit__in=visits, fan__in=fans).exists()
    context = {"advice": rows, "opening": _opening(len(rows)), "has_photos": photos}
    return drawn_for_owner("advice", _subject(asked), owner, now, context)


def _subject(asked: Sequence[Asked]) -> str:
    sites = {each.row.fan.site_id for each in asked}
    if len(sites) > 1:
        return _("Your yes or no: advice on exhaust fans at {sites} kitchens").format(
            sites=len(sites)
        )
    fans = {each.row.fan_id for each in asked}
    return ngettext(
        "Your yes or no: advice on exhaust fan {tag} at {site}",
        "Your yes or no: advice on {fans} exhaust fans at {site}",
        len(fans),
    ).format(fans=len(fans), tag=asked[0].row.fan.tag, site=asked[0].row.fan.site.name)


def _opening(count: int) -> str:
    return ngettext(
        "We advised something that still waits for your yes or no.",
        "We advised {count} things that still wait for your yes or no.",
        count,
    ).format(count=count)


def _advice(asked: Asked, agreements: Sequence[Agreement], now: datetime) -> AdviceWords:
    row = asked.row
    today = now.astimezone(row.fan.site.zone).date()
    limit = spending_limit(agreements, today)
    found = [*found_by_owner(row.visit_id, row.fan_id, {row.subject}), *doubts_of([row])]
    return AdviceWords(
        where=f"{fan_name(row.fan)}, {site_name(row.fan.site)}",
        day=day_text(row.visit.local_on),
        found=list(dict.fromkeys(found)),
        lines=lines_in(row.text),
        cost=money_text(row.cost) if row.cost is not None else "",
        limit=limit_told(row.cost, limit) if row.cost is not None else "",
        left_so=left_so(item_of(row.subject)),
        again=_put_off(asked),
    )


def _put_off(asked: Asked) -> str:
    if not asked.put_off:
        return ""
    return _("You put it off until {day}.").format(day=day_text(asked.since))
