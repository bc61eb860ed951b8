"""Clients of the API, each signed in by a device's key, and what they are told."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any

from django.db import connection
from rest_framework.test import APIClient

from fleet.models import Person
from fleet.services.keys import give_key

V1 = "/api/v1"


def by_key(person: Person) -> APIClient:
    """Somebody's phone."""
    _, token = give_key(person=person, name="phone")
    client = APIClient()
    client.credentials(HTTP_AUTHORIZATION=f"Token {token}")
    return client


def nobody() -> APIClient:
    """A client without any key."""
    return APIClient()


def faults(answer: Any) -> list[str]:
    """Where a problem's faults lie, in order."""
    told = answer.json().get("errors", [])
    return [fault.get("pointer") or fault["parameter"] for fault in told]


def at_once(person: Person, sends: list[Callable[[APIClient], Any]]) -> list[Any]:
    """The answers to what as many phones of one person send in the same moment."""
    _, token = give_key(person=person, name="phone")
    start = Barrier(len(sends))

    def send(ask: Callable[[APIClient], Any]) -> Any:
        client = APIClient()
        client.credentials(HTTP_AUTHORIZATION=f"Token {token}")
        start.wait(timeout=30)
        try:
            return ask(client)
        finally:
            connection.close()

    with ThreadPoolExecutor(len(sends)) as pool:
        return list(pool.map(send, sends))
