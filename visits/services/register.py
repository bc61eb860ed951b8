"""What the register says of the sites a batch of records names: looked up once, asked in memory."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Q

from config.questions import Part, Question, Row
from fleet.models import ExhaustSystem, Fan, Machine, Person, Site
from fleet.models import Feed as FeedRow
from fleet.plates import Feed, Plate
from visits.judging import FEED_COLUMNS, NO_PLATE, PLATE_COLUMNS, feed_in_force, plate_of
from visits.payload.entries import Place

SITE_ROW = ("id", "name", "time_zone", "owner_id", "owner__name")
MACHINE_ROW = ("id", "fan_id", "installed_on", "removed_on", *PLATE_COLUMNS)
FEED_ROW = ("id", "fan_id", "valid_from", *FEED_COLUMNS)


def _parts(sites: Callable[[Mapping[str, Any]], Any]) -> dict[str, Part]:
    """Sites and all that stands on them."""

    def fans(given: Mapping[str, Any]) -> Any:
        return Fan.objects.filter(site__in=sites(given).values("pk"))

    return {
        "sites": lambda given: sites(given).values(*SITE_ROW),
        "systems": lambda given: ExhaustSystem.objects.filter(
            site__in=sites(given).values("pk")
        ).values("id", "site_id", "name"),
        "fans": lambda given: fans(given).values("id", "tag", "system_id", "site_id"),
        "machines": lambda given: Machine.objects.filter(fan__in=fans(given).values("pk")).values(
            *MACHINE_ROW
        ),
        "feeds": lambda given: FeedRow.objects.filter(fan__in=fans(given).values("pk")).values(
            *FEED_ROW
        ),
    }


def named_sites(given: Mapping[str, Any]) -> Any:
    """Sites by id, or by name where their owner is named too: names alone have no index."""
    named = Q(owner__name__among=given["owners"], name__among=given["names"])
    return Site.objects.filter(Q(pk__among=given["ids"]) | named)


OF_SITES = _parts(named_sites)
"""What a question asks of sites given by ``ids``, or by ``owners`` and ``names``."""

OF_FANS = Question(
    ["fans"],
    **_parts(
        lambda given: Site.objects.filter(
            pk__in=Fan.objects.filter(pk__among=given["fans"]).values("site")
        )
    ),
)


@dataclass(frozen=True, slots=True)
class MachineFacts:
    """A machine in its time; no day means since the start, or still there."""

    id: int
    installed_on: date | None
    removed_on: date | None
    row: Row

    @property
    def plate(self) -> Plate:
        """Read when asked for: of a site's machines a visit asks for few."""
        return plate_of(self.row)


@dataclass(slots=True)
class FanFacts:
    """A fan with its machines and feeds, whichever order they came in."""

    id: int
    tag: str
    system_id: int
    machines: dict[int, MachineFacts] = field(default_factory=dict)
    feeds: dict[int, Row] = field(default_factory=dict)

    def machine_on(self, day: date, *, before_swap: bool = False) -> MachineFacts | None:
        """The machine in place on ``day``, on the day of a swap the new one unless asked before."""
        there = [
            machine
            for machine in self.machines.values()
            if machine.installed_on is None
            or machine.installed_on < day
            or (machine.installed_on == day and not before_swap)
        ]
        newest = max(there, key=lambda machine: machine.installed_on or date.min, default=None)
        if newest is None or (newest.removed_on is not None and newest.removed_on < day):
            return None
        return newest

    def plate_of(self, machine: MachineFacts | None) -> Plate:
        """Its nameplate; an empty one where no machine is known."""
        return machine.plate if machine else NO_PLATE

    def feed_on(self, day: date) -> Feed:
        """The feed in force on ``day``, an empty one where none is on record."""
        return feed_in_force([*self.feeds.values()], day)


@dataclass(slots=True)
class SiteFacts:
    """A site with its clock, its fans by tag and its systems by name (both without capitals).

    ``system_names`` are as in the register.
    """

    id: int
    name: str
    owner: str
    zone: ZoneInfo
    fans: dict[str, FanFacts] = field(default_factory=dict)
    systems: dict[str, int] = field(default_factory=dict)
    system_names: list[str] = field(default_factory=list)

    def system(self, name: str) -> int | None:
        """Id of the system called ``name``; an empty name is the site's only one."""
        if name:
            return self.systems.get(name.casefold())
        return next(iter(self.systems.values())) if len(self.systems) == 1 else None

    def fans_of(self, system_id: int) -> list[int]:
        """Ids of the fans of a system."""
        return [fan.id for fan in self.fans.values() if fan.system_id == system_id]


@dataclass(slots=True)
class Register:
    """Sites by id and by owner and name."""

    by_id: dict[int, SiteFacts] = field(default_factory=dict)
    by_name: dict[tuple[str, str], SiteFacts] = field(default_factory=dict)

    def site(self, place: Place) -> SiteFacts | None:
        """The site a record names, or None; names given beside an id must agree with it."""
        if place.site_id is None:
            return self.by_name.get((place.owner, place.site))
        site = self.by_id.get(place.site_id)
        agrees = site and (place.site or site.name, place.owner or site.owner) == (
            site.name,
            site.owner,
        )
        return site if agrees else None

    def add(self, site: SiteFacts) -> SiteFacts:
        """Keep the site under its id and its names; gives it back."""
        self.by_id[site.id] = self.by_name[site.owner, site.name] = site
        return site


def named(places: Iterable[Place]) -> dict[str, list[Any]]:
    """How a question is told of these places."""
    wanted = set(places)
    ids = [place.site_id for place in wanted if place.site_id is not None]
    told = [place for place in wanted if place.site_id is None]
    names, owners = ({getattr(place, what) for place in told} for what in ("site", "owner"))
    return {"ids": ids, "names": sorted(names), "owners": sorted(owners)}


def sites_of_owner(owner: str, by: Person | None) -> list[str]:
    """Names of an owner's sites that ``by`` may see, to put a name right that is not known."""
    sites = Site.objects.filter(owner__name__iexact=owner)
    sites = sites if by is None else sites.visible_to(by)
    return list(sites.order_by("name").values_list("name", flat=True))


def load_fans(fan_ids: Iterable[int]) -> dict[int, FanFacts]:
    """Fans by id, with machines and feeds."""
    wanted = set(fan_ids)
    sites = read_register(OF_FANS.ask(fans=sorted(wanted)), None).by_id.values()
    return {fan.id: fan for site in sites for fan in site.fans.values() if fan.id in wanted}


def reload_machines(fan: FanFacts) -> None:
    """Read a fan's machines again after one was replaced."""
    fan.machines.clear()
    for row in Machine.objects.filter(fan=fan.id).values(*MACHINE_ROW):
        _take_machine(fan, row)


def read_register(found: Mapping[str, Sequence[Row]], by: Person | None) -> Register:
    """The sites found, as far as ``by`` may see them (None: all)."""
    register, fans = Register(), {}
    for row in found["sites"]:
        if by is None or by.works_here or by.owner_id == row["owner_id"]:
            zone = ZoneInfo(row["time_zone"])
            register.add(SiteFacts(row["id"], row["name"], row["owner__name"], zone))
    for row in found["systems"]:
        if site := register.by_id.get(row["site_id"]):
            site.systems[row["name"].casefold()] = row["id"]
            site.system_names.append(row["name"])
    for row in found["fans"]:
        if site := register.by_id.get(row["site_id"]):
            fan = fans[row["id"]] = FanFacts(row["id"], row["tag"], row["system_id"])
            site.fans[row["tag"].casefold()] = fan
    for row in found["machines"]:
        if row["fan_id"] in fans:
            _take_machine(fans[row["fan_id"]], row)
    for row in found["feeds"]:
        if row["fan_id"] in fans:
            fans[row["fan_id"]].feeds[row["id"]] = row
    return register


def _take_machine(fan: FanFacts, row: Row) -> None:
    there = row["installed_on"], row["removed_on"]
    fan.machines[row["id"]] = MachineFacts(row["id"], *there, row)


@dataclass(frozen=True, slots=True)
class PersonFacts:
    """Somebody of the company, with what counts for the record."""

    id: int
    name: str
    inspects: bool


def load_people(names: set[str]) -> dict[str, PersonFacts]:
    """The company's people by login and by full name, both without capitals.

    A full name two people share is left out: the record then keeps it as written.
    """
    if not names:
        return {}
    rows = Person.objects.exclude(role=Person.Role.OWNER).order_by("pk")
    by_login, by_name, shared = {}, {}, set()
    for person in rows:
        name = person.called
        facts = PersonFacts(person.pk, name, person.qualified_code_inspection)
        by_login[person.username.casefold()] = facts
        if name.casefold() in by_name:
            shared.add(name.casefold())
        by_name[name.casefold()] = facts
    return {key: who for key, who in by_name.items() if key not in shared} | by_login
