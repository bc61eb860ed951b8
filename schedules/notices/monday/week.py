"""What a week begins with: counts, the worst lines of each kind, what moved, who is not reached.

However large the fleet: a fixed number of questions, and lists that end.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import cached_property

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from fleet.models import Owner
from schedules.due.lines import WEEK_DAYS, DueLine, lines_of
from schedules.due.lists import overdue
from schedules.engine.codes import STOP
from schedules.models import Booking, DueState, Notice, Subscription
from schedules.notices.addressees import addresses_of_owners
from schedules.notices.clocks import Clocks
from schedules.notices.monday.changes import Changes, read_changes
from schedules.notices.mornings import monday_of
from schedules.notices.refusals import Refused, refused_addresses

MOST_STOPS, MOST_OVERDUE, MOST_DUE = 15, 25, 25
MOST_OWNERS = 20


@dataclass(frozen=True)
class Counts:
    """Fans by where they stand; ``first`` are those still waiting for their first visit.

    ``late`` and ``soon`` are the overdue and the due ones that are at no stop.
    """

    stops: int
    overdue: int
    newly_overdue: int
    due: int
    late: int
    soon: int
    first: int
    sites: int
    booked_sites: int


@dataclass(frozen=True)
class NotReached:
    """Owners without the weekly letter, and why; ``more`` of them are not named."""

    without_address: Sequence[str]
    left: Sequence[str]
    refused: Sequence[Refused]
    more: int


@dataclass
class WeekAhead:
    """The week that begins, as it stands at ``local``, the office's clock."""

    local: datetime
    clocks: Clocks

    @property
    def since_on(self) -> date:
        """The Monday before this week: from then on the letter tells what changed."""
        return monday_of(self.local.date()) - timedelta(days=7)

    @cached_property
    def counts(self) -> Counts:
        """Counts over all fans; two questions."""
        days, week = self.clocks.days, timedelta(days=WEEK_DAYS)
        late = overdue(days)
        newly = late & Q(overdue_after__gte=self.since_on - timedelta(days=1))
        waits = Q(fan__in=self.clocks.onboarding())
        seen = ~waits
        soon = days.matching(lambda today: Q(due_on__lte=today + week))
        told = DueState.objects.filter(soon | Q(worst_verdict=STOP)).aggregate(
            stops=Count("fan_id", filter=seen & Q(worst_verdict=STOP)),
            overdue=Count("fan_id", filter=seen & late),
            newly_overdue=Count("fan_id", filter=seen & newly),
            due=Count("fan_id", filter=seen & soon & ~late),
            late=Count("fan_id", filter=seen & late & ~Q(worst_verdict=STOP)),
            soon=Count("fan_id", filter=seen & soon & ~late & ~Q(worst_verdict=STOP)),
            first=Count("fan_id", filter=waits & soon),
        )
        booked = Booking.objects.standing().filter(
            site=OuterRef("site"), day__gte=self.local.date()
        )
        sites = self._seen().filter(late).annotate(is_booked=Exists(booked))
        told |= sites.aggregate(
            sites=Count("site", distinct=True),
            booked_sites=Count("site", distinct=True, filter=Q(is_booked=True)),
        )
        return Counts(**told)

    @cached_property
    def lines(self) -> Mapping[str, Sequence[DueLine]]:
        """The worst of ``stops``, of what is ``overdue`` and of what is ``due``, in order."""
        days, week = self.clocks.days, timedelta(days=WEEK_DAYS)
        rows = self._seen().select_related("fan", "site", "owner")
        others = rows.filter(worst_verdict__lt=STOP)
        late = overdue(days)
        soon = days.matching(lambda today: Q(due_on__lte=today + week))
        chosen = {
            "stops": rows.filter(worst_verdict=STOP).order_by("due_on", "fan")[:MOST_STOPS],
            "overdue": others.filter(late).order_by("due_on", "fan")[:MOST_OVERDUE],
            "due": others.filter(soon & ~late).order_by("due_on", "fan")[:MOST_DUE],
        }
        sections = [(name, state) for name, states in chosen.items() for state in states]
        found: dict[str, list[DueLine]] = {name: [] for name in chosen}
        for line in lines_of(sections, days):
            found[line.section].append(line)
        return found

    @cached_property
    def changes(self) -> Changes:
        """What moved since last week's Monday."""
        begins = datetime.combine(self.since_on, time(), self.local.tzinfo)
        return read_changes(begins, self.local)

    @cached_property
    def not_reached(self) -> NotReached:
        """Owners of overdue fans whom the weekly letter does not reach."""
        late = self._seen().filter(overdue(self.clocks.days)).order_by()
        owners = Owner.objects.filter(pk__in=late.values("owner"))
        ids = list(owners.values_list("pk", flat=True))
        reached = addresses_of_owners(ids)
        missing = list(owners.exclude(pk__in=reached).values_list("name", flat=True))
        left = Subscription.objects.left().filter(kind=Notice.Kind.OVERDUE)
        gone = list(left.order_by("owner__name").values_list("owner__name", flat=True))
        refused = refused_addresses()
        more = sum(max(0, len(each) - MOST_OWNERS) for each in (missing, gone, refused))
        return NotReached(missing[:MOST_OWNERS], gone[:MOST_OWNERS], refused[:MOST_OWNERS], more)

    def _seen(self) -> QuerySet[DueState]:
        return DueState.objects.exclude(fan__in=self.clocks.onboarding())
