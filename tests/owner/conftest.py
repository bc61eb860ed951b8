"""Two kitchens with a fault each and advice about it; their owners' links."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.utils import timezone

from fleet.models import Fan, Owner, OwnerLink, Person, Site
from fleet.services.links import make_link, token_of
from schedules.services import log_visit
from tests.visits.roofs import WITHIN, check, make_roof
from visits.models import Recommendation

ADDRESS = "office@alder.example"
# It is noon in the kitchens' zone, whenever this is read: no day ends there before the last test.
EAST_H = 12 - timezone.now().hour
ZONE = f"Etc/GMT{-EAST_H:+}"  # whose names count hours to the west
TODAY = timezone.now().astimezone(ZoneInfo(ZONE)).date()
SEEN_ON = TODAY - dt.timedelta(days=20)
ADVICE = "Replace the hinge before it lets the fan fall."


@dataclass(frozen=True)
class Kitchen:
    """One owner's site with EF-1 and EF-2, advice on EF-1, and a link that opens its page."""

    owner: Owner
    site: Site
    fan: Fan
    advice: Recommendation
    link: OwnerLink

    @property
    def address(self) -> str:
        return f"/o/advice/{self.advice.pk}/"


def make_kitchen(owner: str, email: str, **advice: Any) -> Kitchen:
    """A hinge broken, seen twenty days ago, with advice at 480.00."""
    site = make_roof(owner, f"Kitchen of {owner}", time_zone=ZONE)
    Owner.objects.filter(pk=site.owner_id).update(email=email)
    told = {"fan": "EF-1", "subject": "hinge", "text": ADVICE, "cost": "480.00", "id": str(uuid4())}
    payload = {
        "id": str(uuid4()), "kind": "walk_through", "owner": owner, "site": site.name,
        "began_at": f"{SEEN_ON}T09:10", "recommendations": [{**told, **advice}],
        "checks": [check(seen={**WITHIN, "hinge": "loose"}), check("EF-2", seen=WITHIN)],
    }  # fmt: skip
    log_visit(payload=payload, by=None, now=timezone.now())
    site = Site.objects.select_related("owner").get(pk=site.pk)
    link = make_link(owner=site.owner, now=timezone.now(), sent_to=email)
    row = Recommendation.objects.get(pk=UUID(told["id"]))
    return Kitchen(site.owner, site, Fan.objects.get(site=site, tag="EF-1"), row, link)


@pytest.fixture
def kitchen(db: None) -> Kitchen:
    """Olga's."""
    return make_kitchen("Alder Kitchens", ADDRESS)


@pytest.fixture
def other(db: None) -> Kitchen:
    """Sam's."""
    return make_kitchen("Dory's Diner", "sam@dory.example")


@pytest.fixture
def office(db: None) -> Person:
    """Dana, who dispatches and reads mail."""
    return Person.objects.create_user(
        "dana", email="dana@service.example", role=Person.Role.DISPATCHER
    )


def opened(link: OwnerLink, **kinds: Any) -> Client:
    """A browser in which the link was opened."""
    browser = Client(**kinds)
    assert browser.get(f"/k/{token_of(link)}").status_code == 302
    return browser


@pytest.fixture
def browser(kitchen: Kitchen) -> Client:
    """Olga's."""
    return opened(kitchen.link)
