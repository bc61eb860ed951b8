"""People: the company's, and the contacts of owners; never anything of a password."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema_serializer
from rest_framework import serializers

from config.api.filters import by_choice, by_id
from fleet.api.register import RegisterSerializer, RowListView, RowLookView
from fleet.models import Owner, Person, people_visible_to


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "A technician",
            {
                "id": 4, "name": "Ruta Vennick", "role": "technician", "owner": None,
                "email": "ruta@birch.example", "language": "es",
                "qualified_for": ["code_inspection", "lift"],
                "is_active": True,
            },
            response_only=True,
        )
    ]
)  # fmt: skip
class PersonSerializer(RegisterSerializer[Person]):
    """Somebody with a login; ``owner`` is whose contact it is, null for the company's own."""

    name = serializers.SerializerMethodField()
    email = serializers.CharField(read_only=True, help_text="empty where none is known")
    qualified_for = serializers.SerializerMethodField()

    class Meta:
        model = Person
        fields = [
            "id", "name", "role", "owner", "email", "language", "qualified_for", "is_active",
        ]  # fmt: skip
        read_only_fields = fields

    def get_name(self, person: Person) -> str:
        return person.called

    def get_qualified_for(self, person: Person) -> list[str]:
        return person.qualified_for


class PersonListView(RowListView):
    """People."""

    model, serializer_class = Person, PersonSerializer
    filters = {
        "role": by_choice("role", tuple(Person.Role.values), "in this role"),
        "owner": by_id("owner", "contacts of this owner", Owner.objects.visible_to),
    }
    says = {"GET": "People: all for those who plan, an owner's contacts for each other, oneself "
                   "for a technician."}  # fmt: skip

    def get_queryset(self) -> Any:
        return people_visible_to(self.request.user)


class PersonView(RowLookView):
    """One person."""

    model, serializer_class = Person, PersonSerializer
    says = {"GET": "One person."}

    def get_queryset(self) -> Any:
        return people_visible_to(self.request.user)
