"""Machines: what is and was installed at a fan's position, with its nameplate as read."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import OpenApiExample, extend_schema_serializer

from config.api.filters import by_flag, by_id, by_text
from config.api.sparse import SparseListMixin
from fleet.api.fields import ListField, WordField, bounds
from fleet.api.register import (
    RegisterSerializer,
    RowEntryView,
    RowListView,
    RowView,
    by_history,
    changed_since,
    refuse_known,
)
from fleet.models import Fan, Machine, Owner, Person, Site
from fleet.services.machines import PLATE_FIELDS, correct_plate, replace_machine
from fleet.services.plates import READABLE
from fleet.services.rows import hold

PLATE = {
    "installed_on": "2021-05-18", "supplied_by": "us", "model": "UB-18", "serial": "A1-2207",
    "drive": "belt", "motor_type": "three_phase", "phases": 3, "volts": "208-230/460",
    "full_load_amps": "3.3-3.2/1.6", "power_hp": 1.0, "speed_rpm": 1725.0, "hertz": 60.0,
    "service_factor": 1.15, "belt": "A45", "unreadable": ["frame", "insulation_class"],
}  # fmt: skip
ORDERED = [f.name for f in Machine._meta.concrete_fields if f.name in PLATE_FIELDS]


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "A machine",
            {"id": 64, "fan": 41, "removed_on": None, "first_here": True, **PLATE},
            response_only=True,
        ),
        OpenApiExample("Another machine at this position", PLATE, request_only=True),
    ]
)
class MachineSerializer(RegisterSerializer[Machine]):
    """One machine; volts and amperes as the plate prints them, ``?`` for a part of a dual rating.

    ``unreadable`` names fields that somebody looked at and could not read; they have no value.
    """

    once = ("installed_on",)
    unreadable = ListField(child=WordField(READABLE), max_length=len(READABLE), required=False)

    class Meta:
        model = Machine
        fields = ["id", "fan", "installed_on", "removed_on", "first_here", *ORDERED]
        read_only_fields = ["fan", "removed_on", "first_here"]
        extra_kwargs = bounds("machine")
        validators: list[Any] = []


class MachineListView(SparseListMixin, RowListView):
    """Machines of all positions."""

    model, serializer_class = Machine, MachineSerializer
    filters = {
        "owner": by_id("fan__site__owner", "of this owner", Owner.objects.visible_to),
        "site": by_id("fan__site", "on this site", Site.objects.visible_to),
        "fan": by_id("fan", "at this position", Fan.objects.visible_to),
        "serial": by_text("serial", "with exactly this serial number", 80),
        "in_place": by_flag("removed_on__isnull", "that stand there now, or that are gone"),
        "changed_since": changed_since(by_history),
    }
    says = {"GET": "Machines now in place and earlier ones, with their nameplates."}


class FanMachinesView(RowEntryView):
    """Machines of one position."""

    model, serializer_class, row_address = Machine, MachineSerializer, "api_machine"
    says = {
        "GET": "Machines at a fan's position over time.",
        "POST": "Another machine stands at this position: from a day on, or, told late, fitted in "
        "between the machines on record.",
    }

    def get_queryset(self) -> Any:
        return super().get_queryset().filter(fan=self.position())

    def position(self) -> Fan:
        """The fan in the address; 404 for one that the asker may not see."""
        return get_object_or_404(Fan.objects.visible_to(self.request.user), pk=self.kwargs["id"])

    def enter(self, values: dict[str, Any], by: Person, now: datetime) -> Machine:
        fan, day = hold(self.position()), values.pop("installed_on", None)
        if known := fan.machines.filter(installed_on=day).first():
            raise refuse_known(
                "installed_on", "a machine installed on this day is on record here",
                day or "no day", f"correct its plate: PATCH /api/v1/machines/{known.pk}",
            )  # fmt: skip
        return replace_machine(fan=fan, installed_on=day, plate=values, by=by, now=now)


class MachineView(RowView):
    """One machine."""

    model, serializer_class = Machine, MachineSerializer
    says = {
        "GET": "One machine with its nameplate.",
        "PATCH": "Correct what the nameplate says; a field given a value is readable from now on.",
    }

    def change(self, row: Machine, values: dict[str, Any], by: Person, now: datetime) -> Machine:
        return correct_plate(machine=row, plate=values, by=by, now=now)
