"""Limits in words: each kind of band as it is read aloud on a roof."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from fleet.plates import Feed
from tests.limits.test_ahead import CAPACITOR_MOTOR, MOTOR, PEAK, ahead
from visits.wording.ahead import limits_note, limits_text, short_basis


@pytest.mark.parametrize(("subject", "told", "text"), [
    ("volts", {}, "207 to 253 V, else act"),
    ("amps", {}, "up to 10 A, watch above 10, act above 11.5, stop above 12.5"),
    ("amps", {"plate": replace(MOTOR, service_factor=1.0)},
     "up to 10 A, act above 10, stop above 12.5"),
    ("insulation", {}, "from 100 MΩ, watch below 100, act below 5, stop below 1"),
    ("vibration_curb", PEAK, "below 6.4 mm/s peak, watch from 6.4, act from 10.2, stop from 12.7"),
    ("capacitor", {"plate": CAPACITOR_MOTOR},
     "9.4 to 10.6 µF, watch below 9.4, act below 9, act above 10.6"),
    ("poles", {}, "up to 1.5 times the lowest, act above 1.5"),
    ("temperature_difference", {}, "below 1 K, watch from 1, act from 4, stop above 15"),
    ("volts", {"feed": Feed()}, "Cannot judge volts without which rating is connected."),
])  # fmt: skip
def test_limits_when_told_then_in_these_words(
    subject: str, told: dict[str, Any], text: str
) -> None:
    [found] = ahead(subject, **told)
    assert limits_text(found) == text


@pytest.mark.parametrize(("subject", "note"), [
    ("amps", "full load 10 A, service factor 1.15; watch only with every line at 218.5 to 241.5 V, "
             "else act"),
    ("overload", "full load 10 A"),
    ("belt_deflection", "for a span of 406.4 mm"),
    ("insulation", "corrected to 40 °C; take the winding's temperature too"),
    ("volts", ""), ("vibration_curb", ""),
])  # fmt: skip
def test_limits_when_they_hang_on_something_then_said(subject: str, note: str) -> None:
    [found] = ahead(subject)
    assert limits_note(found) == note


def test_vibration_of_a_small_fan_then_its_stop_is_said_to_be_ours() -> None:
    [found] = ahead("vibration_curb", plate=replace(MOTOR, power_hp=0.5))
    assert limits_note(found) == "the stop is our choice"


@pytest.mark.parametrize(("subject", "basis"), [
    ("volts", "NEMA MG-1, 12.44.1"), ("amps", "our choice"),
    ("grease_housing", "NFPA 96, 12.6.1.1.4 (from memory)"),
])  # fmt: skip
def test_basis_then_short(subject: str, basis: str) -> None:
    [found] = ahead(subject)
    assert short_basis(found) == basis
