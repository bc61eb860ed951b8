"""Whose roofs nobody could get onto, and who has not been told of it yet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime, timedelta
from functools import partial

from django.db.models import Q

from schedules.done.misses import NoWayUp, no_way_up
from schedules.models import Notice
from schedules.notices.addressees import addresses_of_owners
from schedules.notices.clocks import Clocks
from schedules.notices.letter import Letter, Unreachable, to_owner
from schedules.notices.no_access.words import no_access_words

KIND = Notice.Kind.NO_ACCESS


def no_access_letters(now: datetime) -> Iterator[Letter | Unreachable]:
    """One for each roof and row of days, in working hours there.

    An owner whose overdue letter was written since the record knows has read it there.
    """
    clocks = Clocks(now)
    if not clocks.anyone_at_work:
        return
    shut = no_way_up(now, ~Q(pk__in=clocks.onboarding()))
    found = [each for each in shut if clocks.at_work(each.site)]
    owners = {each.site.owner_id for each in found}
    weekly, apart = _weekly(owners, found), _apart(owners, now)
    addresses = addresses_of_owners(owners)
    for each in found:
        owner, since = each.site.owner, each.days[0]
        told_on = apart.get(f"site-{each.site.pk}")
        if weekly.get(owner.pk, each.told_at) > each.told_at or (told_on and told_on >= since):
            continue
        words = partial(no_access_words, each, now)
        yield to_owner(KIND, owner, f"site-{each.site.pk}.{since}", addresses, words)


def _weekly(owners: set[int], found: Sequence[NoWayUp]) -> Mapping[int, datetime]:
    """By owner, when the last overdue letter was written that they had or are to have."""
    if not found:
        return {}
    first = min(each.told_at for each in found)
    rows = Notice.objects.filter(kind=Notice.Kind.OVERDUE, owner__in=owners, owed_at__gte=first)
    told = rows.exclude(fault=Notice.LEFT).order_by("owed_at").values_list("owner", "owed_at")
    return {owner: at for owner, at in told if owner}


def _apart(owners: set[int], now: datetime) -> Mapping[str, date]:
    """By site, when it last had a letter of this kind: a day heard of late begins no new row."""
    rows = Notice.objects.filter(
        kind=KIND, owner__in=owners, owed_at__gte=now - timedelta(days=400)
    )
    told = rows.order_by("owed_at").values_list("period", "owed_at")
    return {period.partition(".")[0]: at.date() for period, at in told}
