"""Photos sent and asked for, about the visits of ``tests.api.logs``."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode
from uuid import uuid4

from rest_framework.test import APIClient

from fleet.models import Fan, Person
from tests.api.asking import V1, by_key
from tests.api.logs import VISITS, walk
from tests.visits.photographs import photo

PHOTOS = f"{V1}/photos"


def visited(fan: Fan, person: Person, **parts: Any) -> dict[str, Any]:
    """A visit to the fan on record; its payload."""
    payload = walk(fan, **parts)
    assert by_key(person).post(VISITS, payload).status_code == 201
    return payload


def send(client: APIClient, visit: Any, data: bytes | None = None, **words: Any) -> Any:
    """The answer to a photo of the visit; under a fresh id unless ``id`` is told."""
    kind = words.pop("kind", "image/jpeg")
    asked = urlencode({"id": str(uuid4()), **words})
    body = photo() if data is None else data
    return client.post(f"{VISITS}/{visit['id']}/photos?{asked}", body, content_type=kind)
