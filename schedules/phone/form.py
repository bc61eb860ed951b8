"""The form of a walk, ordered as the work is, made from the registry of quantities."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from hashlib import blake2b
from typing import Any

from django.utils.translation import get_language

from fleet.quantities import (
    ALWAYS_ANSWERED_BY,
    CONTEXT,
    GREASE_PLACES,
    LIMIT_SUBJECTS,
    LOOK_LISTS,
    QUANTITIES,
    VERDICT_ORDER,
    VIBRATION_POINTS,
    WALK_THROUGH_BELT,
    WALK_THROUGH_DIRECT,
    Quantity,
    item_of,
)
from fleet.units import UNITS
from schedules.engine import after_event
from schedules.phone.form_words import (
    CHOICE_WORDS,
    FELT_ANCHORS,
    FIELD_WORDS,
    PLACE_TITLES,
    STEP_TITLES,
    VERDICT_MARKS,
    caution_texts,
    place_cautions,
    quantity_words,
)
from schedules.phone.likely import tell_likely
from schedules.phone.plate import tell_plate
from visits.limits.readings import NEARLY
from visits.wording import STATES, VERDICTS, words
from visits.wording.figures import UNIT_SIGNS
from visits.wording.names import upper_first

Told = dict[str, Any]


@dataclass(frozen=True)
class Place:
    """Where one stands for a part of the look; few enough things for one answer to mean them."""

    code: str
    fields: tuple[str, ...]


@dataclass(frozen=True)
class Step:
    """One part of a visit to a fan; ``needs`` names what whoever takes it must be recorded for."""

    code: str
    fields: tuple[str, ...] = ()
    needs: str = ""
    places: tuple[Place, ...] = ()


PLACES = (
    Place("wheel", ("motor_vents", "wheel", "wheel_gap", "setscrews")),
    Place("hinge", ("hinge", "catch", "cable")),
    Place("switch", ("switch_cover", "switch_feel")),
    Place("around", (
        "corrosion", "curb", "guard", "grease_box",
        *(f"grease_{place}_{end}_um" for place in GREASE_PLACES for end in ("low", "high")),
    )),
    Place("belt", (
        "belt", "belt_span_mm", "belt_deflection_mm", "sheaves", "sheave_wear_mm", "bearings",
    )),
    Place("kitchen", ("hood_switch", "heat_sensor", "make_up_air", "fire_system_start")),
    Place("running", (
        "noise", "vibration_felt", *(f"vibration_{point}_mm_s" for point in VIBRATION_POINTS),
        "speed_rpm", "hour_meter_h",
    )),
)  # fmt: skip
LOOK = tuple(name for place in PLACES for name in place.fields)
DEAD = (
    "winding_ab_ohm", "winding_bc_ohm", "winding_ca_ohm", "insulation_megohm",
    "insulation_temperature_c", "lead_zero_ohm", "pole_1_ohm", "pole_2_ohm", "pole_3_ohm",
    "capacitor_case", "capacitor_uf", "overload_present",
)  # fmt: skip
LIVE = (
    "volts_ab_v", "volts_bc_v", "volts_ca_v", "amps_a_a", "amps_b_a", "amps_c_a",
    "overload_setting_a", "temperature_difference_k", "supply_hz",
)  # fmt: skip
LEAVE = ("running", "rotation", "volts_word", "amps_absent")
QUALIFIED = "may_work_live"
STEPS = (
    Step("arrive"),
    Step("look", LOOK, places=PLACES),
    Step("live", LIVE, QUALIFIED),
    Step("dead", DEAD, QUALIFIED),
    Step("leave", LEAVE),
    Step("tell"),
)
OFFERED = tuple(name for step in STEPS for name in step.fields)
"""Every field of the form, in its order."""
LEFT_OUT = frozenset({"breaker_a"})
"""Read off the breaker once and kept in the register."""


def tell_form() -> Told:
    """The whole form in the language in force; its version is another where anything differs."""
    return _told(get_language() or "")


@lru_cache(maxsize=8)
def _told(_language: str) -> Told:
    form: Told = {
        "steps": [_step(step) for step in STEPS],
        "fields": {name: _field(QUANTITIES[name]) for name in OFFERED},
        "context": {each.name: _context(each) for each in CONTEXT},
        "plate": tell_plate(),
        "walk": {"direct": WALK_THROUGH_DIRECT, "belt": WALK_THROUGH_BELT},
        "after": {kind: LOOK_LISTS[kind] for kind in after_event.EVENTS},
        "lists": {entry: list(names) for entry, names in ALWAYS_ANSWERED_BY.items()},
        "verdicts": {code: _verdict(code) for code in VERDICT_ORDER},
        "items": {subject: item_of(subject) for subject in sorted(LIMIT_SUBJECTS)},
        "likely": tell_likely(),
        "nearly": NEARLY,
    }
    version = blake2b(json.dumps(form, sort_keys=True).encode(), digest_size=8).hexdigest()
    return {"version": version, **form}


def _step(step: Step) -> Told:
    told: Told = {
        "code": step.code,
        "title": words(STEP_TITLES, step.code),
        "cautions": caution_texts(step.code),
        "fields": list(step.fields),
    }
    if step.places:
        told["places"] = [_place(each) for each in step.places]
    return told | ({"needs": step.needs} if step.needs else {})


def _place(place: Place) -> Told:
    return {
        "title": words(PLACE_TITLES, place.code),
        "cautions": place_cautions(place.code),
        "fields": list(place.fields),
    }


def _verdict(code: str) -> Told:
    return {"word": words(VERDICTS, code), "mark": VERDICT_MARKS[code]}


def _field(quantity: Quantity) -> Told:
    told: Told = {
        "label": upper_first(quantity_words(quantity.name)),
        "item": quantity.item,
        "kind": "seen" if quantity.is_seen else "measured",
        "motors": list(quantity.motors),
        "controls": list(quantity.controls),
        "belt_only": quantity.belt_only,
        "live": quantity.live,
    }
    return told | (_states(quantity) if quantity.is_seen else _measure(quantity))


def _states(quantity: Quantity) -> Told:
    anchors: Mapping[str, Any] = FELT_ANCHORS if quantity.name == "vibration_felt" else {}
    states = []
    for state in quantity.states:
        told: Told = {
            "code": state.code,
            "label": upper_first(words(STATES, state.code)),
            "verdict": state.verdict,
        }
        states.append(told | ({"help": str(anchors[state.code])} if anchors else {}))
    return {"states": states}


def _measure(quantity: Quantity) -> Told:
    base = UNITS[quantity.unit]
    units = [UNITS[code] for code in dict.fromkeys((quantity.unit, *quantity.accepted))]
    return {
        "unit": quantity.unit,
        "units": [
            {
                "unit": unit.code,
                "sign": UNIT_SIGNS.get(unit.code, unit.code),
                "factor": unit.factor / base.factor,
                "offset": (unit.offset - base.offset) / base.factor,
            }
            for unit in units
        ],
        "low": quantity.low,
        "high": quantity.high,
        "qualifiers": list(quantity.qualifiers),
        "context": list(quantity.context),
        "help": words(FIELD_WORDS, quantity.name) if quantity.name in FIELD_WORDS else "",
    }


def _context(each: Any) -> Told:
    told: Told = {"label": upper_first(quantity_words(each.name))}
    if each.choices:
        return told | {"choices": [[code, words(CHOICE_WORDS, code)] for code in each.choices]}
    return told | {"low": each.low, "high": each.high}
