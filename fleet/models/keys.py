"""Keys by which a phone or a program signs in: one for each device, revoked by themselves."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from django.db import models
from knox.models import AbstractAuthToken, AuthTokenManager


class DeviceKeyQuerySet(models.QuerySet["DeviceKey"]):
    """Keys by who may see them."""

    def visible_to(self, person: Any) -> DeviceKeyQuerySet:
        """All for a manager, who revokes what was lost; one's own for everybody else."""
        if person.role == person.Role.MANAGER:
            return self
        return self.filter(user=person)


class DeviceKeyManager(AuthTokenManager.from_queryset(DeviceKeyQuerySet)):  # type: ignore[misc]
    """Makes keys as Knox does, and finds them."""


class DeviceKey(AbstractAuthToken):
    """One device's key; only its hash is kept, ``id`` names it without giving anything away."""

    id = models.UUIDField(default=uuid4, unique=True, editable=False)
    name = models.CharField(max_length=80)

    objects = DeviceKeyManager()

    class Meta:
        ordering = ["created"]

    def __str__(self) -> str:
        return f"{self.name} of {self.user}"
