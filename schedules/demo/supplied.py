"""The fan that an owner of the demo supplies, after the motor that failed although advised."""

from __future__ import annotations

from datetime import datetime, timedelta

from fleet.models import Fan
from fleet.services.fans import edit_fan
from fleet.services.supplied import enter_supplied

SITE = "Tannevale Old Brewery"


def supply_one(*, now: datetime) -> None:
    """Ordered the day before, expected in twelve days; we are to install it."""
    fan = Fan.objects.get(site__name=SITE, tag="EF-1")
    today = now.astimezone(fan.site.zone).date()
    edit_fan(fan=fan, facts={"rotation": "clockwise"}, by=None, now=now)
    facts = {
        "what": "Orrel 18 D, upblast, hinged",
        "supplier": "the brewery's own dealer",
        "ordered_on": today - timedelta(days=1),
        "expected_on": today + timedelta(days=12),
        "installer": "us",
    }
    enter_supplied(fan=fan, facts=facts, by=None, now=now)
