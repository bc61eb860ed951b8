"""People who sign in, what they may do and what they are recorded as qualified for."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import AbstractUser
from django.db import models

from config.languages import language_field
from fleet.models.history import keep_history
from fleet.models.plain import PlainRow

QUALIFICATIONS = ("code_inspection", "energised_work", "lift")
"""As the ``qualified_`` flags call them."""


class Person(PlainRow, AbstractUser):  # type: ignore[django-manager-missing]  # keys: untyped
    """Someone with a login; an owner's contact sees only that owner's kitchens."""

    class Role(models.TextChoices):
        MANAGER = "manager", "manager"
        DISPATCHER = "dispatcher", "dispatcher"
        TECHNICIAN = "technician", "technician"
        OWNER = "owner", "owner"

    role = models.CharField(max_length=12, choices=Role.choices, default=Role.TECHNICIAN)
    owner = models.ForeignKey(
        "fleet.Owner", null=True, blank=True, on_delete=models.PROTECT, related_name="people"
    )
    language = language_field()
    qualified_code_inspection = models.BooleanField(default=False)
    qualified_energised_work = models.BooleanField(default=False)
    qualified_lift = models.BooleanField(default=False)

    history = keep_history(excluded_fields=["password"])

    class Meta(AbstractUser.Meta):
        verbose_name_plural = "people"
        constraints = [
            models.CheckConstraint(
                name="person_owner_role_has_owner",
                condition=models.Q(role="owner", owner__isnull=False)
                | (~models.Q(role="owner") & models.Q(owner__isnull=True)),
                violation_error_message="An owner's contact belongs to an owner; nobody else does.",
            )
        ]

    def save(self, *args: Any, **kwargs: Any) -> None:
        """``createsuperuser`` asks for no role; whoever it makes runs the place."""
        if self._state.adding and self.is_superuser and self.role == self.Role.TECHNICIAN:
            self.role = self.Role.MANAGER
        super().save(*args, **kwargs)

    @property
    def called(self) -> str:
        """First and last name; the login where no name is known."""
        return self.get_full_name() or self.username

    @property
    def works_here(self) -> bool:
        """Whether this is one of the service company's own people."""
        return self.role != self.Role.OWNER

    @property
    def plans(self) -> bool:
        """Whether this is somebody who sends others."""
        return self.role in (self.Role.MANAGER, self.Role.DISPATCHER)

    @property
    def qualified_for(self) -> list[str]:
        """What they are recorded as qualified for."""
        return [name for name in QUALIFICATIONS if getattr(self, f"qualified_{name}")]


def technicians() -> models.QuerySet[Person]:
    """Who may be sent to roofs: technicians who still work here."""
    return Person.objects.filter(role=Person.Role.TECHNICIAN, is_active=True)


def people_visible_to(person: Any) -> models.QuerySet[Person]:
    """All for those who plan, an owner's contacts for each other, oneself for everybody else."""
    if person.plans:
        return Person.objects.all()
    if person.works_here:
        return Person.objects.filter(pk=person.pk)
    return Person.objects.filter(owner=person.owner_id)
