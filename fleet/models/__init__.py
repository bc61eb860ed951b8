"""The register: who owns what, where it stands, what is installed and what feeds it."""

from fleet.models.blockers import Blocker
from fleet.models.contacts import SiteContact
from fleet.models.fans import Fan, Feed, Machine
from fleet.models.keys import DeviceKey
from fleet.models.links import LinkGuesses, OwnerLink
from fleet.models.owners import Agreement, Owner
from fleet.models.people import Person, people_visible_to, technicians
from fleet.models.sites import Site
from fleet.models.supplied import SuppliedFan
from fleet.models.systems import (
    ClosedDay,
    CookingPeriod,
    ExhaustSystem,
    ExpectedCleaning,
    OperatingPeriod,
)
from fleet.models.working import DaysOff, WorkingWeek

__all__ = [
    "Agreement",
    "Blocker",
    "ClosedDay",
    "CookingPeriod",
    "DaysOff",
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
    "SiteContact",
    "SuppliedFan",
    "WorkingWeek",
    "people_visible_to",
    "technicians",
]
