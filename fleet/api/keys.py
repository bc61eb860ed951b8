"""Keys of devices: given for a name and a password, listed, revoked."""

from __future__ import annotations

from typing import Any

from axes.handlers.proxy import AxesProxyHandler
from django.contrib.auth import authenticate
from django.db.models import QuerySet
from drf_spectacular.utils import (
    OpenApiExample,
    extend_schema,
    extend_schema_serializer,
)
from rest_framework import generics, serializers, status
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.request import Request
from rest_framework.response import Response

from config.characters import break_in, code_point, hidden_in
from fleet.api.register import StrictSerializer
from fleet.models import DeviceKey, Person
from fleet.services.keys import give_key, revoke_key

KEY = {
    "id": "5f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0b01", "name": "Ruta's phone", "person": "ruta",
    "created": "2026-03-02T15:14:03Z", "expiry": "2026-05-31T15:14:03Z",
}  # fmt: skip
ASKED = {"username": "ruta", "password": "up-the-ladder-7", "name": "Ruta's phone"}
WORDS = "0f9d3c5a71e24b86" * 4


@extend_schema_serializer(examples=[OpenApiExample("A key", KEY, response_only=True)])
class KeySerializer(serializers.ModelSerializer[DeviceKey]):
    """A key as listed: never its words."""

    person = serializers.CharField(source="user.username", read_only=True)

    class Meta:
        model = DeviceKey
        fields = ["id", "name", "person", "created", "expiry"]


@extend_schema_serializer(examples=[OpenApiExample("A device", ASKED, request_only=True)])
class AskedKeySerializer(StrictSerializer):
    """Who asks for a key, and for which device."""

    username = serializers.CharField(max_length=150)
    password = serializers.CharField(max_length=500, trim_whitespace=False)
    name = serializers.CharField(max_length=80, help_text="the device, as its owner calls it")

    def validate_name(self, name: str) -> str:
        if sign := hidden_in(name, name=True) or break_in(name):
            told = f"This is one line of plain text; take out {code_point(sign)}."
            raise serializers.ValidationError(told)
        return name


@extend_schema_serializer(
    examples=[OpenApiExample("A key given", {**KEY, "token": WORDS}, response_only=True)]
)
class GivenKeySerializer(KeySerializer):
    """A key just given, with its words, which are not told again."""

    token = serializers.CharField(read_only=True)

    class Meta(KeySerializer.Meta):
        fields = [*KeySerializer.Meta.fields, "token"]


class KeyListView(generics.ListCreateAPIView[DeviceKey]):
    """Keys."""

    serializer_class = KeySerializer
    keyset = ("created", "id")  # not "pk": that is the digest kept of its words
    refusals = {"POST": (429,)}
    says = {"GET": "Your keys; a manager's: everybody's."}

    def get_queryset(self) -> QuerySet[DeviceKey]:
        return DeviceKey.objects.visible_to(self.request.user).select_related("user")

    def get_permissions(self) -> list[Any]:
        return [] if self.request.method == "POST" else [*super().get_permissions()]

    @extend_schema(request=AskedKeySerializer, responses={201: GivenKeySerializer}, auth=[])
    def post(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """A key for a device, for a name and a password.

        Its words are told now and never again.  It ends after 90 days without use.
        """
        asked = AskedKeySerializer(data=request.data)
        asked.is_valid(raise_exception=True)
        told = asked.validated_data
        person = authenticate(
            request._request, username=told["username"], password=told["password"]
        )
        if not isinstance(person, Person):
            raise AuthenticationFailed("The name and the password do not match a person here.")
        AxesProxyHandler.user_logged_in(KeyListView, request._request, person)
        key, token = give_key(person=person, name=told["name"])
        told = {**KeySerializer(key).data, "token": token}
        return Response(told, status=status.HTTP_201_CREATED)


class KeyView(generics.DestroyAPIView[DeviceKey]):
    """One key."""

    lookup_field = "id"
    serializer_class = KeySerializer
    says = {"DELETE": "Revoke a key at once."}

    def get_queryset(self) -> QuerySet[DeviceKey]:
        return DeviceKey.objects.visible_to(self.request.user)

    def perform_destroy(self, instance: DeviceKey) -> None:
        """Revoke it at once."""
        revoke_key(key=instance)
