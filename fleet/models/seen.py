"""Rows by who may see them: all for the company's people, one owner's for an owner's contact."""

from __future__ import annotations

from typing import ClassVar, Self, TypeVar

from django.db import models

T = TypeVar("T", bound=models.Model)


class OfOwnerQuerySet(models.QuerySet[T]):
    """Rows that belong to an owner; ``to_owner`` is the lookup that leads there."""

    to_owner: ClassVar[str]

    def visible_to(self, person: object) -> Self:
        """What this person may see; nobody sees nothing."""
        if getattr(person, "works_here", False):
            return self
        return self.filter(**{self.to_owner: getattr(person, "owner_id", None) or 0})
