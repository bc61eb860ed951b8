"""Orrinshaw County, which no map shows: three owners and forty kitchens on an invented coast."""

from __future__ import annotations

from dataclasses import dataclass

from schedules.demo.plates import Columns
from schedules.demo.records import Days, Kitchen

ZONE = "America/Chicago"
DINING, SCHOOLS, HOTELS = "Tannevale Dining", "Brackenmoor School Board", "Ostrelle Hotels"
OWNERS = (DINING, SCHOOLS, HOTELS)
DAYS_OF_HISTORY = 547
CREW = "Clearflue, night crew"


@dataclass(frozen=True, slots=True)
class Site:
    """One kitchen building; ``coastal`` metal ages faster and is walked monthly."""

    owner: str
    name: str
    address: str
    latitude: float
    longitude: float
    coastal: bool = False

    @property
    def kitchen(self) -> Kitchen:
        return Kitchen(self.owner, self.name)


@dataclass(frozen=True, slots=True)
class _Town:
    name: str
    latitude: float
    longitude: float
    coastal: bool


_TOWNS = {
    town.name: town
    for town in (
        _Town("Harlow Quay", 30.362, -88.541, True),
        _Town("Tidemarsh", 30.391, -88.604, True),
        _Town("Old Sorrel", 30.523, -88.681, False),
        _Town("Cinder Bend", 30.604, -88.552, False),
        _Town("Pinefall", 30.683, -88.703, False),
        _Town("Marrowby", 30.571, -88.824, False),
        _Town("Wexcombe", 30.742, -88.602, False),
    )
}
_PLACES: dict[str, tuple[str, ...]] = {
    DINING: (
        "Quarry Road, Old Sorrel", "Ferry Steps, Harlow Quay", "Mill Reach, Cinder Bend",
        "Lantern Street, Old Sorrel", "Weir Lane, Cinder Bend", "Station Square, Wexcombe",
        "Orchard Gate, Pinefall", "Saddler Row, Marrowby", "Rope Walk, Harlow Quay",
        "Old Brewery, Old Sorrel", "Cattle Market, Marrowby", "Foundry Yard, Cinder Bend",
        "North Parade, Tidemarsh", "Canal Head, Wexcombe", "Chapel Rise, Pinefall",
        "Glasshouse Lane, Old Sorrel", "Signal Hill, Wexcombe", "Dyer Bridge, Marrowby",
        "Kiln Corner, Cinder Bend", "Meadow Cross, Pinefall", "Toll House, Marrowby",
        "Silo Court, Wexcombe",
    ),
    SCHOOLS: (
        "Old Sorrel Upper", "Old Sorrel Lower", "Cinder Bend Upper", "Cinder Bend Lower",
        "Pinefall Upper", "Pinefall Lower", "Marrowby Upper", "Marrowby Lower", "Wexcombe Upper",
        "Wexcombe Lower", "Tidemarsh Lower", "Harlow Quay Lower",
    ),
    HOTELS: (
        "Harlow Quay", "Tidemarsh", "Old Sorrel", "Cinder Bend", "Marrowby", "Wexcombe",
    ),
}  # fmt: skip
_TERMS: dict[str, Columns] = {
    DINING: {
        "Owner email": "roofs@tannevale.example", "Owner phone": "555-0142",
        "Visits per year": "14", "Reliability wanted": "medium", "Stretching allowed": "no",
        "Spending limit": "400", "Roof access hours": "Mon-Sun 6:00-16:00",
        "Fan stop hours": "Mon-Sun 6:00-9:30", "Access minutes": "15",
        "Access notes": "hatch by the dry store, key with the opening cook",
    },
    SCHOOLS: {
        "Owner email": "plant@brackenmoor.example", "Owner phone": "555-0171",
        "Visits per year": "18", "Reliability wanted": "low", "Stretching allowed": "yes",
        "Spending limit": "250", "Roof access hours": "Mon-Fri 14:00-18:00; Sat 8:00-13:00",
        "Fan stop hours": "Mon-Fri 14:00-18:00; Sat 8:00-13:00", "Access minutes": "25",
        "Access notes": "sign in at the office, fixed ladder behind the gym",
    },
    HOTELS: {
        "Owner email": "engineering@ostrelle.example", "Owner phone": "555-0188",
        "Visits per year": "as due", "Reliability wanted": "high", "Stretching allowed": "no",
        "Spending limit": "1000", "Roof access hours": "Mon-Sun 9:00-16:00",
        "Access minutes": "20", "Access notes": "service lift to the plant floor",
    },
}  # fmt: skip


def _sites() -> tuple[Site, ...]:
    found = []
    for owner, places in _PLACES.items():
        for index, place in enumerate(places):
            name = owner.split()[0] + " " + place.split(",")[0]
            town = next(town for town in _TOWNS.values() if town.name in place)
            found.append(_site(owner, name, town, index))
    return tuple(found)


def _site(owner: str, name: str, town: _Town, index: int) -> Site:
    # A few hundred metres apart, so that no two kitchens share a roof on a map.
    north, east = (index * 7 % 11 - 5) * 0.002, (index * 5 % 13 - 6) * 0.002
    return Site(
        owner=owner,
        name=name,
        address=f"{10 + index * 6} {_street(owner, name)}, {town.name}",
        latitude=round(town.latitude + north, 4),
        longitude=round(town.longitude + east, 4),
        coastal=town.coastal,
    )


def _street(owner: str, name: str) -> str:
    if owner == DINING:
        return name.removeprefix(owner.split()[0]).strip()
    return "School Lane" if owner == SCHOOLS else "Hotel Row"


SITES = _sites()
_BY_NAME = {site.name: site for site in SITES}


def site_called(name: str) -> Site:
    """The site of that name; KeyError if the county has none."""
    return _BY_NAME[name]


def site_columns(site: Site, days: Days) -> Columns:
    """Owner, agreement and site as a fleet file has them."""
    new = site.owner == HOTELS
    return {
        "Owner": site.owner,
        **_TERMS[site.owner],
        "Agreement start": days.on(-5 if new else -DAYS_OF_HISTORY),
        "Agreement end": days.on(725 if new else 548),
        "Site": site.name,
        "Address": site.address,
        "Country": "US",
        "Latitude": f"{site.latitude:.4f}",
        "Longitude": f"{site.longitude:.4f}",
        "Time zone": ZONE,
        "Surroundings": "coastal" if site.coastal else "inland",
    }


def system_columns(days: Days, name: str, classes: str, hours: str) -> Columns:
    """One exhaust system: what cooks, and when."""
    since = days.on(-DAYS_OF_HISTORY - 14)
    return {
        "System": name,
        "Cooking classes": classes,
        "Cooking since": since,
        "Hours": hours,
        "Hours since": since,
        "Cleaning crew": CREW,
        "Make-up air interlock": "yes",
        "Fire system interlock": "yes",
    }


def fan_columns(days: Days, tag: str, place: str, *, installed: int, serial: str) -> Columns:
    """One position on the roof and the day its machine came, in days from today."""
    number = int("".join(filter(str.isdecimal, tag)) or 1)
    return {
        "Tag": tag,
        "Place": place,
        # rows of three, 6 m apart, around a hatch that lies between the first two
        "East of hatch (m)": f"{6 * ((number - 1) % 3) - 3}",
        "North of hatch (m)": f"{4 - 5 * ((number - 1) // 3)}",
        "Entered on": days.on(max(installed, -DAYS_OF_HISTORY)),
        "Installed on": days.on(installed),
        "Serial": serial,
    }
