"""What the register says of the sites a batch of records names: looked up once, asked in memory."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Q

from fleet.models import ExhaustSystem, Fan, Person, Site
from fleet.plates import Feed, Plate
from visits.judging import FEED_COLUMNS, NO_FEED, NO_PLATE, PLATE_COLUMNS, feed_of, plate_of
from visits.payload.entries import Place

CHUNK = 500
_MACHINE = ("id", "installed_on", "removed_on", *PLATE_COLUMNS)
_FEED = ("id", "valid_from", *FEED_COLUMNS)
_SITE = ("id", "name", "time_zone", "owner__name")
_FAN_COLUMNS = (
    "id", "tag", "system_id", "system__name",
    *(f"site__{name}" for name in _SITE),
    *(f"machines__{name}" for name in _MACHINE),
    *(f"feeds__{name}" for name in _FEED),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class MachineFacts:
    """A machine in its time; no day means since the start, or still there."""

    id: int
    installed_on: date | None
    removed_on: date | None
    plate: Plate


@dataclass(slots=True)
class FanFacts:
    """A fan with its machines and feeds, whichever order they came in."""

    id: int
    tag: str
    system_id: int
    machines: dict[int, MachineFacts] = field(default_factory=dict)
    feeds: dict[int, tuple[date | None, Feed]] = field(default_factory=dict)

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
        return machine.plate if machine else NO_PLATE

    def feed_on(self, day: date) -> Feed:
        """The feed in force on ``day``, an empty one where none is on record."""
        begun = [(start or date.min, feed) for start, feed in self.feeds.values()]
        begun = [pair for pair in begun if pair[0] <= day]
        return max(begun, key=lambda pair: pair[0])[1] if begun else NO_FEED


@dataclass(slots=True)
class SiteFacts:
    """A site with its clock, its fans by tag and its systems by name (both without capitals)."""

    id: int
    name: str
    owner: str
    zone: ZoneInfo
    fans: dict[str, FanFacts] = field(default_factory=dict)
    systems: dict[str, int] = field(default_factory=dict)
    systems_complete: bool = False

    def system(self, name: str) -> int | None:
        """Id of the system called ``name``; an empty name is the site's only one."""
        found = self._find(name)
        if found is None and not self.systems_complete:
            rows = ExhaustSystem.objects.filter(site=self.id).values_list("name", "id")
            self.systems.update((known.casefold(), pk) for known, pk in rows)
            self.systems_complete = True
            found = self._find(name)
        return found

    def _find(self, name: str) -> int | None:
        if name:
            return self.systems.get(name.casefold())
        # A system without fans may yet be unknown, so "the only one" needs the whole list.
        single = self.systems_complete and len(self.systems) == 1
        return next(iter(self.systems.values())) if single else None

    def fans_of(self, system_id: int) -> list[int]:
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
        self.by_id[site.id] = self.by_name[site.owner, site.name] = site
        return site


def load_register(places: Iterable[Place], by: Person | None) -> Register:
    """The sites of ``places`` as far as ``by`` may see them (None: all), one query a chunk."""
    wanted = set(places)
    register = Register()
    for ids, names in _chunks(wanted):
        fans = Fan.objects.filter(Q(site__in=ids) | Q(site__name__in=names))
        _take_fans(register, _visible(fans, by))
        if any(register.site(place) is None for place in wanted):
            # Sites without fans; rare, so the usual visit is spared the question.
            sites = Site.objects.filter(Q(pk__in=ids) | Q(name__in=names))
            for row in _visible(sites, by).values(*_SITE):
                if row["id"] not in register.by_id:
                    _site_facts(register, row, "")
    return register


def sites_of_owner(owner: str, by: Person | None) -> list[str]:
    """Names of an owner's sites that ``by`` may see, to put a name right that is not known."""
    sites = _visible(Site.objects.filter(owner__name__iexact=owner), by)
    return list(sites.order_by("name").values_list("name", flat=True))


def load_fans(fan_ids: Iterable[int]) -> dict[int, FanFacts]:
    """Fans by id, with machines and feeds."""
    register = Register()
    _take_fans(register, Fan.objects.filter(pk__in=fan_ids))
    fans = (fan for site in register.by_id.values() for fan in site.fans.values())
    return {fan.id: fan for fan in fans}


def reload_machines(fan: FanFacts) -> None:
    """Read a fan's machines again after one was replaced."""
    rows = Fan.objects.filter(pk=fan.id).values(*(f"machines__{name}" for name in _MACHINE))
    fan.machines.clear()
    for row in rows:
        _take_machine(fan, row)


def _visible(rows: Any, by: Person | None) -> Any:
    return rows if by is None else rows.visible_to(by)


def _chunks(places: set[Place]) -> Iterator[tuple[list[int], list[str]]]:
    ordered = sorted(places, key=lambda place: (place.owner, place.site, place.site_id or 0))
    for start in range(0, len(ordered), CHUNK):
        part = ordered[start : start + CHUNK]
        ids = [place.site_id for place in part if place.site_id is not None]
        yield ids, [place.site for place in part if place.site_id is None]


def _take_fans(register: Register, fans: Any) -> None:
    for row in fans.values(*_FAN_COLUMNS).iterator(chunk_size=2_000):
        site = register.by_id.get(row["site__id"]) or _site_facts(register, row, "site__")
        site.systems[row["system__name"].casefold()] = row["system_id"]
        fan = site.fans.get(row["tag"].casefold())
        if fan is None:
            fan = FanFacts(row["id"], row["tag"], row["system_id"])
            site.fans[row["tag"].casefold()] = fan
        _take_machine(fan, row)
        _take_feed(fan, row)


def _site_facts(register: Register, row: Mapping[str, Any], prefix: str) -> SiteFacts:
    id_, name, zone, owner = (row[prefix + column] for column in _SITE)
    return register.add(SiteFacts(id_, name, owner, ZoneInfo(zone)))


def _take_machine(fan: FanFacts, row: Mapping[str, Any]) -> None:
    id_ = row["machines__id"]
    if id_ is not None and id_ not in fan.machines:
        columns = {name: row[f"machines__{name}"] for name in _MACHINE}
        fan.machines[id_] = MachineFacts(
            id_, columns["installed_on"], columns["removed_on"], plate_of(columns)
        )


def _take_feed(fan: FanFacts, row: Mapping[str, Any]) -> None:
    id_ = row["feeds__id"]
    if id_ is not None and id_ not in fan.feeds:
        columns = {name: row[f"feeds__{name}"] for name in _FEED}
        fan.feeds[id_] = (columns["valid_from"], feed_of(columns))


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
        name = person.get_full_name() or person.username
        facts = PersonFacts(person.pk, name, person.qualified_code_inspection)
        by_login[person.username.casefold()] = facts
        if name.casefold() in by_name:
            shared.add(name.casefold())
        by_name[name.casefold()] = facts
    return {key: who for key, who in by_name.items() if key not in shared} | by_login
