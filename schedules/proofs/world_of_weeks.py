"""The demo fleet dealt to owners in several zones, and what is done to it while weeks pass."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import takewhile
from typing import Any
from uuid import uuid4

from fleet.models import Fan, Owner, Site
from schedules.bench.variants import one_by_one
from schedules.demo.county import DINING, HOTELS, SCHOOLS
from schedules.demo.found import import_demo, make_files
from schedules.demo.records import Kitchen, walk
from schedules.demo.world import least_fans
from schedules.due.reckoning import reckon_fleet
from schedules.models import Notice
from schedules.proofs.doors import Doors
from schedules.proofs.slow_weeks import Roof
from schedules.proofs.stories import ADVICE
from schedules.services import log_decision
from visits.models import Check, Recommendation

OWN_ZONES = {DINING: "America/New_York", SCHOOLS: "Europe/Berlin", HOTELS: "America/Los_Angeles"}
MORE_OWNERS = (
    ("Corner Table", ("Asia/Kolkata",), 1),
    ("Two Coasts", ("America/Los_Angeles", "Europe/London"), 4),
    ("Ridge Kitchens", ("America/Chicago",), 3),
)
"""Invented owners who take over some kitchens: their zones in turn, and how many."""
FANS_MORE = 20


def make_world(now: datetime) -> None:
    """Put the demo fleet on record as it stands at ``now`` and deal its kitchens out."""
    files = make_files(now.date(), least_fans() + FANS_MORE)
    import_demo(files=files, now=now, tell=lambda _: None)
    sites = list(Site.objects.filter(owner__name=DINING, fans__isnull=False).distinct())
    for name, zones, count in MORE_OWNERS:
        owner = Owner.objects.create(name=name, email=f"{name.split()[0].lower()}@owners.example")
        for number in range(count):
            site = sites.pop()
            site.owner, site.time_zone = owner, zones[number % len(zones)]
            site.save()
    for site in Site.objects.filter(owner__name__in=OWN_ZONES).select_related("owner"):
        site.time_zone = OWN_ZONES[site.owner.name]
        site.save()
    Owner.objects.filter(email="").update(email="office@owners.example")
    reckon_fleet(now=now)


def roofs() -> list[Roof]:
    """Every fan, its overdue day reckoned alone from its record."""
    fans = list(Fan.objects.select_related("site"))
    days = dict(one_by_one([fan.pk for fan in fans]))
    here = Check.objects.filter(visit__here=True, visit__superseded_by=None)
    seen = set(here.values_list("fan", flat=True))
    return [_roof(fan, days[fan.pk].overdue, fan.pk in seen) for fan in fans]


def _roof(fan: Fan, overdue: Any, seen: bool) -> Roof:
    return Roof(
        owner_id=fan.site.owner_id,
        kitchen=(fan.site.name, fan.site_id),
        zone=fan.site.time_zone,
        overdue_after=date.fromordinal(overdue.overdue_after_day) if overdue else None,
        waits_until=None if seen else fan.onboarding_on,
    )


@dataclass(frozen=True)
class Deed:
    """Something done; ``phrase`` stood in the owner's letter before it and may not after.

    Of a fan it is sought under the name of its kitchen alone: others have the same tags.
    """

    owner_id: int
    at: datetime
    phrase: str
    kitchen: str = ""

    def stands_in(self, letter: Notice) -> bool:
        """Whether the letter still says it."""
        return self.phrase in (_under(self.kitchen, letter) if self.kitchen else letter.text)


def decide(now: datetime) -> Iterator[Deed]:
    """One owner declines one piece of advice of its latest letter that no story is about."""
    asked = Recommendation.objects.filter(decisions=None, visit__superseded_by=None)
    asked = asked.exclude(text=ADVICE)
    for advice in asked.select_related("fan__site").order_by("pk"):
        owner_id = advice.fan.site.owner_id
        letter = _latest(owner_id)
        if letter and advice.text in letter.text:
            decline(advice, now)
            yield Deed(owner_id, now, advice.text)
            return


def decline(advice: Recommendation, now: datetime) -> None:
    """The owner says no to it."""
    answer = {
        "id": str(uuid4()), "type": "decision", "recommendation": str(advice.pk),
        "answer": "declined", "on": now.date().isoformat(), "decided_by": "Who may",
    }  # fmt: skip
    log_decision(payload=answer, by=None, now=now)


def visit_overdue(owner_name: str, now: datetime, doors: Doors) -> Iterator[Deed]:
    """All of an owner's overdue fans are walked, and their systems inspected."""
    owner = Owner.objects.get(name=owner_name)
    letter = _latest(owner.pk)
    for site in Site.objects.filter(owner=owner).order_by("pk"):
        fans = list(site.fans.filter(due_state__overdue_after__lt=now.date()))
        kitchen = Kitchen(owner.name, site.name)
        began = (now - timedelta(hours=3)).isoformat()
        looks = [walk(fan.tag, belt=_is_belt(fan)) for fan in fans]
        systems = sorted({fan.system.name for fan in fans})
        if not looks:
            continue
        for payload in (
            kitchen.visit("walk_through", began, *looks),
            kitchen.visit("code_inspection", began, inspections=[{"system": s} for s in systems]),
        ):
            doors.log({**payload, "id": str(uuid4())}, now)
        yield from (
            Deed(owner.pk, now, f"  {fan.tag}", site.name)
            for fan in _settled(fans, now)
            if letter and f"  {fan.tag}" in _under(site.name, letter)
        )


def _settled(fans: Sequence[Fan], now: datetime) -> Iterator[Fan]:
    """Those not overdue for the next weeks; a walk-through does not settle everything."""
    by_id = {fan.pk: fan for fan in fans}
    for fan_id, told in one_by_one(list(by_id)):
        late = told.overdue.overdue_after_day if told.overdue else None
        if late is None or late > (now + timedelta(days=40)).toordinal():
            yield by_id[fan_id]


def _under(kitchen: str, letter: Notice) -> str:
    """The indented lines below a kitchen's name, which its address may follow."""
    lines = iter(letter.text.splitlines())
    for line in lines:
        if line == kitchen or line.startswith(f"{kitchen},"):
            break
    return "\n".join(takewhile(lambda line: not line or line.startswith(" "), lines))


def _is_belt(fan: Fan) -> bool:
    machine = fan.machines.get(removed_on=None)
    return machine.is_belt_driven


def _latest(owner_id: int) -> Notice | None:
    return Notice.objects.filter(kind=Notice.Kind.OVERDUE, owner=owner_id).first()
