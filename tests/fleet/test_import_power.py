"""Plates whose parts cannot belong together, and phases as offices write them."""

from __future__ import annotations

from typing import Any

import pytest

from fleet.models import Machine
from fleet.wording import complaint_sentence
from tests.fleet.sheets import FULL, bring, codes, csv_file
from visits.limits.tables import full_load_current_a

pytestmark = [pytest.mark.django_db, pytest.mark.once]
BARE = {key: text for key, text in FULL.items() if key not in ("Motor type", "Poles", "Volts")}
PLATE = ("Volts", "Full-load amps", "Power (hp)", "Motor type")


def plate(*cells: str) -> dict[str, str]:
    """A fan whose plate says: volts, amperes, power, kind of motor."""
    return FULL | dict(zip(PLATE, cells, strict=True))


# Electric power is sqrt(3) V A (three-phase) or V A at most, and 746 W are 1 hp: 3 A at 230 V can
# drive 1195 W / 746 = 1.6 hp; half as much again is allowed for, as our choice.
@pytest.mark.parametrize(
    ("cells", "code"),
    [
        (("230", "3", "200", "three phase"), "power_too_much"),
        (("230", "3", "2.5", "three phase"), "power_too_much"),
        (("115", "3", "0.75", "PSC"), "power_too_much"),
        (("208-230/460", "3.3-3.2/0.16", "1", "three phase"), "power_too_much"),
        (("230", "320", "1", "three phase"), "power_too_little"),
    ],
)
def test_power_that_the_current_cannot_mean_then_complaint(
    cells: tuple[str, ...], code: str
) -> None:
    assert codes(bring(csv_file(plate(*cells)))) == [(2, "Power (hp)", code)]


def test_power_of_a_slip_then_says_what_was_seen_and_what_to_look_at() -> None:
    (said,) = bring(csv_file(plate("230", "3", "200", "three phase"))).complaints
    assert complaint_sentence(said) == (
        "row 2, Power (hp) “200”: 3 A at 230 V take in 1.6 hp; more than half as much again (2.4 "
        "hp) is no slip of rounding; check power and its unit, volts and amperes on the plate; ? "
        "marks what is unreadable"
    )


def table_plates() -> list[dict[str, str]]:
    """A fan for each motor of NFPA 70 Tables 430.248 and 430.250 that a roof may carry."""
    sizes = (1 / 6, 1 / 4, 1 / 3, 1 / 2, 3 / 4, 1, 1.5, 2, 3, 5, 7.5, 10, 15, 20, 25, 30, 50, 100)
    cells = [
        (f"{volts}", f"{amps:g}", f"{size:.4g}", "PSC" if phases == 1 else "three phase")
        for phases in (1, 3)
        for volts in (115, 200, 208, 230, 460, 575)
        for size in sizes
        if (amps := full_load_current_a(size, volts, phases)) is not None
    ]
    return [plate(*said) | {"Tag": f"EF-{n}"} for n, said in enumerate(cells)]


def test_power_of_every_motor_in_the_tables_then_accepted() -> None:
    rows = table_plates()
    assert (bring(csv_file(*rows)).complaints, len(rows) > 80) == ((), True)


# Plates of small motors from memory: shaded pole 1/100 hp 0.6 A, EC 85 W 0.75 A at 230 V.
@pytest.mark.parametrize(
    "cells",
    [
        ("115", "0.6", "0.01", "other"),
        ("230", "0.75", "85 W", "EC"),
        ("?/460", "?/1.6", "1", "three phase"),
        ("230", "?", "1", "three phase"),
    ],
)
def test_power_of_an_odd_plate_then_accepted(cells: tuple[str, ...]) -> None:
    assert bring(csv_file(plate(*cells))).complaints == ()


@pytest.mark.parametrize("heading", ["PH", "Phase", "Phases", "No. of phases"])
@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("1", (1, "other")), ("1PH", (1, "other")), ("1 Ø", (1, "other")),
        ("Single-phase", (1, "other")), ("3", (3, "three_phase")), ("3-phase", (3, "three_phase")),
        ("3 PH.", (3, "three_phase")), ("three phase", (3, "three_phase")), ("", (None, "other")),
    ],
)  # fmt: skip
def test_phases_as_people_write_them_then_read_and_the_motor_follows(
    heading: str, text: str, expected: Any
) -> None:
    bring(csv_file(BARE | {heading: text}))
    assert Machine.objects.values_list("phases", "motor_type").get() == expected


def test_one_phase_with_a_capacitor_then_a_split_capacitor_motor() -> None:
    bring(csv_file(BARE | {"PH": "1", "Capacitor (uF)": "10"}))
    assert Machine.objects.values_list("phases", "motor_type").get() == (1, "psc")


@pytest.mark.parametrize(
    ("cells", "code"),
    [
        ({"PH": "2"}, "not_phases"),
        ({"PH": "PSC"}, "not_phases"),
        ({"PH": "1", "Motor type": "three phase"}, "phases_of_motor"),
        ({"PH": "3", "Motor type": "PSC"}, "phases_of_motor"),
    ],
)
def test_phases_that_cannot_be_then_complaint(cells: dict[str, str], code: str) -> None:
    assert codes(bring(csv_file(BARE | cells))) == [(2, "PH", code)]
