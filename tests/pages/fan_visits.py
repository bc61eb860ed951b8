"""Visits to a fan through the door people use, and its page read as words."""

from __future__ import annotations

from typing import Any

from fleet.models import Fan, Person
from schedules.services import log_visit
from tests.pages.test_due_list import text_of
from tests.people import signed_in
from tests.visits.roofs import NOW, visit

SHAKEN = {"vibration_motor_radial": "0.31 in/s"}
PEAK = {"vibration_detector": "peak", "vibration_meter": "overall"}
VOLTS = {"volts_ab": "202 V", "volts_bc": "200 V", "volts_ca": "200 V"}
AMPS = {"amps_a": "2.8 A", "amps_b": "2.8 A", "amps_c": "2.8 A"}


def log(*checks: dict[str, Any], on: str = "2026-03-02T09:10", **parts: Any) -> dict[str, Any]:
    """Log a visit; its payload."""
    payload = visit(*checks, on=on, **parts)
    log_visit(payload=payload, by=None, now=NOW)
    return payload


def told(fan: Fan, person: Person, asked: str = "") -> str:
    """The words of the fan's page."""
    return text_of(signed_in(person).get(f"/fans/{fan.pk}/{asked}"))


def lacking(words: str, *parts: str) -> list[str]:
    """The parts that are not among the words."""
    return [part for part in parts if part not in words]
