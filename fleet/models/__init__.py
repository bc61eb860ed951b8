"""The register: who owns what, where it stands, what is installed and what feeds it."""

from fleet.models.fans import Fan, Feed, Machine
from fleet.models.keys import DeviceKey
from fleet.models.links import LinkGuesses, OwnerLink
from fleet.models.owners import Agreement, Owner
from fleet.models.people import Person, people_visible_to
from fleet.models.sites import Site
from fleet.models.systems import (
    ClosedDay,
    CookingPeriod,
    ExhaustSystem,
    ExpectedCleaning,
    OperatingPeriod,
)

__all__ = [
    "Agreement",
    "ClosedDay",
    "CookingPeriod",
    "DeviceKey",
    "ExhaustSystem",
    "ExpectedCleaning",
    "Fan",
    "Feed",
    "LinkGuesses",
    "Machine",
    "OperatingPeriod",
    "Owner",
    "OwnerLink",
    "Person",
    "Site",
    "people_visible_to",
]
