"""Ids as they stand in addresses of the API."""

from __future__ import annotations

from django.urls.converters import UUIDConverter


class AnyCaseUUID(UUIDConverter):
    """A UUID in small letters or capitals, in which many phones make theirs (RFC 9562, 4)."""

    regex = "[0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[0-9a-fA-F]{4}-[0-9a-fA-F]{4}-[0-9a-fA-F]{12}"
