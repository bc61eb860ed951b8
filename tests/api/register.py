"""A register for the API's tests: every kind of row once for Olga and once for Sam, by address."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from fleet.models import (
    Agreement,
    Blocker,
    ClosedDay,
    Feed,
    Machine,
    SiteContact,
    SuppliedFan,
)
from tests.api.asking import V1
from tests.people import Roofs

TODAY = dt.date(2026, 1, 1)


@dataclass(frozen=True)
class Addresses:
    """Where the rows of one owner's first fan are."""

    owners: str
    agreements: str
    sites: str
    blockers: str
    contacts: str
    systems: str
    fans: str
    machines: str
    supplied: str


LISTS = tuple(Addresses.__dataclass_fields__)


def lay_register(roofs: Roofs) -> tuple[Addresses, Addresses]:
    """Agreements, feeds and a closed day beside what ``roofs`` has; Olga's addresses and Sam's."""
    for fan in roofs.all:
        Feed.objects.create(fan=fan, panel="RP-2", service_volts=208)
        ClosedDay.objects.create(system=fan.system, day=dt.date(2026, 12, 25))
        SuppliedFan.objects.create(fan=fan, what="upblast", entered_on=TODAY)
        Blocker.objects.create(site=fan.site, kind="permit", note="asked for", since_on=TODAY)
        SiteContact.objects.create(site=fan.site, duty="keys", name="Ada Mills", phone="555-0142")
    for fan in (roofs.bakery, roofs.diner):
        Agreement.objects.create(owner=fan.site.owner, starts_on=TODAY, notes="pays late")
    return addresses_of(roofs.bakery), addresses_of(roofs.diner)


def addresses_of(fan: Any) -> Addresses:
    """The rows of a fan and around it."""
    owner = fan.site.owner
    ids = {
        "owners": owner.pk,
        "agreements": owner.agreements.get().pk,
        "sites": fan.site_id,
        "blockers": fan.site.blockers.get().pk,
        "contacts": fan.site.contacts.get().pk,
        "systems": fan.system_id,
        "fans": fan.pk,
        "machines": Machine.objects.get(fan=fan).pk,
        "supplied": fan.supplied.get().pk,
    }
    return Addresses(**{name: f"{V1}/{name}/{pk}" for name, pk in ids.items()})
