"""The demo fleet's people: made once, given fresh passwords whenever pages are served."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from fleet.models import Owner, Person

DOMAIN = "demo.invalid"
"""Marks a person as the demo's: no mail server can have this domain (RFC 2606)."""


@dataclass(frozen=True, slots=True)
class Login:
    """What somebody needs to sign in and look around in one role."""

    role: str
    username: str
    password: str


@dataclass(frozen=True, slots=True)
class DemoPerson:
    """One of the demo's people; ``owner`` names the owner an owner's contact belongs to."""

    username: str
    first_name: str
    last_name: str
    role: Person.Role
    owner: str = ""
    inspects: bool = False
    works_live: bool = False
    works_lift: bool = False


PEOPLE = (
    DemoPerson("maren", "Maren", "Tolliver", Person.Role.MANAGER, inspects=True, works_live=True),
    DemoPerson("dov", "Dov", "Askerling", Person.Role.DISPATCHER),
    DemoPerson("ruta", "Ruta", "Vennick", Person.Role.TECHNICIAN, inspects=True, works_live=True),
    DemoPerson("col", "Col", "Bexhollow", Person.Role.TECHNICIAN),
    DemoPerson("ines", "Ines", "Quarrow", Person.Role.TECHNICIAN, inspects=True, works_lift=True),
    DemoPerson("jory", "Jory", "Saltmarsh", Person.Role.TECHNICIAN, works_live=True),
    DemoPerson("pia", "Pia", "Lornevale", Person.Role.OWNER, owner="Tannevale Dining"),
)


@transaction.atomic
def make_people(*, now: datetime) -> int:
    """Add the demo's people who are not there yet, without a password; how many were added.

    Somebody else's username is left alone.  Owners' contacts need their owner on record.
    """
    taken = set(Person.objects.values_list("username", flat=True))
    owners = {owner.name: owner for owner in Owner.objects.all()}
    missing = [
        person
        for person in PEOPLE
        if person.username not in taken and (not person.owner or person.owner in owners)
    ]
    for person in missing:
        _add(person, owners.get(person.owner), now)
    return len(missing)


def _add(person: DemoPerson, owner: Owner | None, now: datetime) -> None:
    row = Person(
        username=person.username,
        first_name=person.first_name,
        last_name=person.last_name,
        email=_email(person),
        role=person.role,
        owner=owner,
        qualified_code_inspection=person.inspects,
        qualified_energised_work=person.works_live,
        qualified_lift=person.works_lift,
        is_staff=person.role == Person.Role.MANAGER,
        is_superuser=person.role == Person.Role.MANAGER,
        date_joined=now,
    )
    row.set_unusable_password()
    row.save()


def demo_logins() -> list[Login]:
    """Give the demo's people new random passwords and tell them; empty where there is no demo."""
    emails = {_email(person): person.username for person in PEOPLE}
    rows = Person.objects.filter(email__in=emails).order_by("pk")
    ours = [row for row in rows if emails[row.email] == row.username]
    logins = [Login(row.role, row.username, secrets.token_urlsafe(9)) for row in ours]
    for row, login in zip(ours, logins, strict=True):
        row.set_password(login.password)
    # In bulk, for the history of people is no place for passwords.
    Person.objects.bulk_update(ours, ["password"])
    return logins


def _email(person: DemoPerson) -> str:
    return f"{person.username}@{DOMAIN}"
