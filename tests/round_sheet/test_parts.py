"""Parts guessed: by which findings, of which size, for which motors.

No source says what to bring; the rows are common practice, the cases follow the table's meaning.
"""

from __future__ import annotations

from typing import Any

import pytest

from fleet.plates import Feed, Plate
from fleet.quantities import LIMIT_SUBJECTS, QUANTITIES, SEEN
from schedules.round_sheet.packing import PART_WORDS, SIZE_WORDS
from schedules.round_sheet.parts import PARTS, Reason, guess_parts

BELTED = Plate(
    motor_type="three_phase", drive="belt", belt="A42", bore_mm=25.4, bearing_type="ball",
    power_hp=2, volts="230/460", full_load_amps="6/3", speed_rpm=1725, frame="145T", phases=3,
)  # fmt: skip
PSC = Plate(motor_type="psc", drive="direct", capacitor_uf=10, volts="115")
FEED = Feed(switch="3-pole, 30 A", poles=3)


def parts(plate: Plate, *reasons: Reason) -> dict[str, dict[str, Any]]:
    return {each.part: dict(each.size) for each in guess_parts(plate, FEED, reasons)}


def found(subject: str, verdict: Any = "act") -> Reason:
    return Reason("finding", subject, verdict, 1)


@pytest.mark.parametrize(("plate", "reason", "expected"), [
    (BELTED, found("belt", "watch"), {"belt": {"belt": "A42"}}),
    (PSC, found("belt"), {}),
    (BELTED, found("bearings"), {"bearings": {"bore_mm": 25.4, "bearing_type": "ball",
                                              "frame": "145T"}}),
    (BELTED, found("bearings", "watch"), {}),
    (PSC, found("capacitor", "watch"), {"capacitor": {"capacitor_uf": 10, "volts": "115"}}),
    (BELTED, found("capacitor"), {}),
    (BELTED, found("poles"), {"switch": {"switch": "3-pole, 30 A", "poles": 3,
                                         "volts": "230/460"}}),
    (BELTED, found("lost_phase", "stop"), {"fuses": {"full_load_amps": "6/3"}}),
    (BELTED, found("insulation"), {"motor": {"power_hp": 2, "volts": "230/460", "phases": 3,
                                             "speed_rpm": 1725, "frame": "145T"}}),
    (BELTED, found("vibration_motor_radial"), {"wheel_cleaning": {}}),
    (BELTED, found("wheel", "watch"), {"wheel_cleaning": {}}),
    (BELTED, found("wheel", "stop"), {"wheel": {}}),
    (BELTED, found("motor_vents"), {}),
    (BELTED, found("rotation"), {}),
    (BELTED, found("volts"), {}),
    (BELTED, Reason("agreed", "hinge"), {"hinge": {}}),
    (BELTED, Reason("due", "regreasing"), {"grease": {"bearing_type": "ball"}}),
])  # fmt: skip
def test_part_when_something_speaks_for_it_then_guessed_with_its_size(
    plate: Plate, reason: Reason, expected: dict[str, Any]
) -> None:
    assert parts(plate, reason) == expected


def test_part_when_two_things_speak_for_it_then_once_with_both() -> None:
    reasons = [found("belt"), Reason("agreed", "belt", day=2)]
    [guess] = guess_parts(BELTED, FEED, reasons)
    assert guess.reasons == tuple(reasons)


def test_table_then_every_subject_exists_and_every_part_and_size_has_words() -> None:
    known = {*LIMIT_SUBJECTS, *(q.name for q in SEEN), *(q.item for q in QUANTITIES.values()),
             "regreasing", "conduit"}  # fmt: skip
    assert {name for row in PARTS for name in row.subjects} - known == set()
    assert {row.part for row in PARTS} == set(PART_WORDS)
    assert {name for row in PARTS for name in row.sizes} - set(SIZE_WORDS) == set()
