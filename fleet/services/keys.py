"""Give a device a key of its own, and take it back."""

from __future__ import annotations

from fleet.models import DeviceKey, Person


def give_key(*, person: Person, name: str) -> tuple[DeviceKey, str]:
    """A new key for one of the person's devices, with its words, which are never told again."""
    key, token = DeviceKey.objects.create(user=person, name=name)
    return key, token


def revoke_key(*, key: DeviceKey) -> None:
    """From this moment the key opens nothing."""
    key.delete()
