"""The nameplate as a form: the register's fields of a machine, in the order of a plate."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy

from fleet.models import Machine
from fleet.quantities import MOTOR_TYPES as MOTORS
from fleet.quantities import QUANTITIES
from fleet.services.plates import READABLE
from schedules.fan_page.plate import BELT_ONLY, MOTOR_TYPES, PLATE_WORDS, UNITS
from visits.wording import words
from visits.wording.figures import UNIT_SIGNS
from visits.wording.names import Words, upper_first

NUMBERS = ("FloatField", "PositiveSmallIntegerField")
PLATE_UNITS = {**UNITS, "power_hp": "hp", "weight_kg": "kg"}
PAIRED = ("volts", "full_load_amps")
"""Typed as printed, ends by a hyphen and ratings by a slash: ``208-230/460``."""

CHOICE_WORDS: Words = {
    "direct": gettext_lazy("direct"),
    "belt": gettext_lazy("belt"),
    "sealed": gettext_lazy("sealed"),
    "greased": gettext_lazy("greased"),
    "ball": gettext_lazy("ball"),
    "cylindrical": gettext_lazy("cylindrical roller"),
    "spherical": gettext_lazy("spherical roller"),
    "rigid": gettext_lazy("rigid"),
    "flexible": gettext_lazy("flexible, on springs or pads"),
    "vertical": gettext_lazy("vertical"),
    "horizontal": gettext_lazy("horizontal"),
}


def tell_plate() -> list[dict[str, Any]]:
    """Each field with its label and what may stand in it; ``may_be_unreadable`` as marked so.

    ``motors`` and ``belt_only`` are told where not every machine has such a part.
    """
    return [_field(name) for name in PLATE_WORDS]


def _field(name: str) -> dict[str, Any]:
    column: Any = Machine._meta.get_field(name)
    told: dict[str, Any] = {
        "field": name,
        "label": upper_first(words(PLATE_WORDS, name)),
        "kind": _kind(column),
        "unit": UNIT_SIGNS.get(unit := PLATE_UNITS.get(name, ""), unit),
        "as_printed": name in PAIRED,
        "may_be_unreadable": name in READABLE,
    }
    if column.choices:
        told["choices"] = [[str(code), _choice(name, code)] for code, _ in column.choices]
    return told | _of_some(name)


def _of_some(name: str) -> dict[str, Any]:
    """Which machines have such a part, as far as the registry of readings knows."""
    motors = QUANTITIES[name].motors if name in QUANTITIES else MOTORS
    told: dict[str, Any] = {} if motors == MOTORS else {"motors": list(motors)}
    return told | ({"belt_only": True} if name in BELT_ONLY else {})


def _kind(column: Any) -> str:
    if column.choices:
        return "choice"
    if column.get_internal_type() == "BooleanField":
        return "yes_no"
    return "number" if column.get_internal_type() in NUMBERS else "text"


def _choice(name: str, code: Any) -> str:
    if name == "motor_type":
        return words(MOTOR_TYPES, code)
    return words(CHOICE_WORDS, str(code))
