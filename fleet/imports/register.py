"""What the register already holds of the owners and sites a file names, in a few queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.db.models import Model

from fleet.imports.values import name_key
from fleet.models import (
    Agreement,
    ClosedDay,
    CookingPeriod,
    ExhaustSystem,
    ExpectedCleaning,
    Fan,
    Feed,
    Machine,
    OperatingPeriod,
    Owner,
    Site,
)
from fleet.writing import rows_in

Place = tuple[str, ...]
"""Keys of the names from the owner down: owner, site, then system or tag."""


@dataclass(slots=True)
class Register:
    """Rows on record by the keys of their names, details by the id of what they belong to.

    ``owner_names`` are all there are, ``gone`` the machines of fans replaced since, oldest first.
    """

    owner_names: list[str] = field(default_factory=list)
    owners: dict[Place, Owner] = field(default_factory=dict)
    sites: dict[Place, Site] = field(default_factory=dict)
    systems: dict[Place, ExhaustSystem] = field(default_factory=dict)
    fans: dict[Place, Fan] = field(default_factory=dict)
    agreements: dict[int, list[Agreement]] = field(default_factory=dict)
    machines: dict[int, Machine] = field(default_factory=dict)
    gone: dict[int, list[Machine]] = field(default_factory=lambda: defaultdict(list))
    feeds: dict[int, Feed] = field(default_factory=dict)
    cooking: dict[int, list[CookingPeriod]] = field(default_factory=dict)
    operating: dict[int, list[OperatingPeriod]] = field(default_factory=dict)
    closed_days: dict[int, set[date]] = field(default_factory=dict)
    expected_cleanings: dict[int, set[date]] = field(default_factory=dict)


def load_register(places: Iterable[Place]) -> Register:
    """Everything on record at the given (owner, site) places, and the owners' other sites."""
    wanted = set(places)
    owner_keys = {owner for owner, _ in wanted}
    register = Register()
    known = list(Owner.objects.values_list("pk", "name"))
    register.owner_names = [name for _, name in known]
    ids = [pk for pk, name in known if name_key(name) in owner_keys]
    owners = {owner.pk: owner for owner in rows_in(Owner.objects.all(), "pk", ids)}
    register.owners = {(name_key(owner.name),): owner for owner in owners.values()}
    for site in rows_in(Site.objects.all(), "owner", ids):
        site.owner = owners[site.owner_id]
        register.sites[(name_key(site.owner.name), name_key(site.name))] = site
    register.agreements = _grouped(Agreement, "owner_id", ids)
    _load_below_sites(register, [site for place, site in register.sites.items() if place in wanted])
    return register


def _load_below_sites(register: Register, sites: list[Site]) -> None:
    places = {site.pk: (name_key(site.owner.name), name_key(site.name)) for site in sites}
    by_pk = {site.pk: site for site in sites}
    systems: dict[int, ExhaustSystem] = {}
    for system in rows_in(ExhaustSystem.objects.all(), "site", places):
        system.site = by_pk[system.site_id]
        systems[system.pk] = system
        register.systems[(*places[system.site_id], name_key(system.name))] = system
    for fan in rows_in(Fan.objects.all(), "site", places):
        fan.site, fan.system = by_pk[fan.site_id], systems[fan.system_id]
        register.fans[(*places[fan.site_id], name_key(fan.tag))] = fan
    _load_details(register, list(places), list(systems))


def _load_details(register: Register, sites: list[int], systems: list[int]) -> None:
    for machine in rows_in(Machine.objects.all(), "fan__site", sites):
        if machine.removed_on is None:
            register.machines[machine.fan_id] = machine
        else:
            register.gone[machine.fan_id].append(machine)
    # ordered by the day each is valid from, so the latest stays
    feeds = rows_in(Feed.objects.all(), "fan__site", sites)
    register.feeds = {feed.fan_id: feed for feed in feeds}
    register.cooking = _grouped(CookingPeriod, "system_id", systems)
    register.operating = _grouped(OperatingPeriod, "system_id", systems)
    register.closed_days = _days(ClosedDay, systems)
    register.expected_cleanings = _days(ExpectedCleaning, systems)


def _grouped(model: type[Model], key: str, ids: list[int]) -> dict[int, list[Any]]:
    grouped: dict[int, list[Any]] = defaultdict(list)
    for row in rows_in(model._default_manager.all(), key, ids):
        grouped[getattr(row, key)].append(row)
    return grouped


def _days(model: type[Model], systems: list[int]) -> dict[int, set[date]]:
    days: dict[int, set[date]] = defaultdict(set)
    pairs = model._default_manager.values_list("system_id", "day")
    for system_id, day in rows_in(pairs, "system_id", systems):
        days[system_id].add(day)
    return days
