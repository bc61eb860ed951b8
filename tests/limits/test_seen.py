"""Seen items: every state's verdict, and which entries of the lists a check answers."""

from __future__ import annotations

import pytest

from fleet.quantities import LOOK_LISTS
from tests.limits.samples import BELT_PLATE, code, judged, verdict
from visits.limits import Reading, answered_entries, unanswered

# Written out again from the table of seen items, apart from the registry.
STATES = """
motor_vents clear within dusty watch plugged act
corrosion none within surface watch deep act holed stop
hinge sound within loose watch broken stop none act
catch engaged within defeatable watch missing act defeated stop
cable sound within stretched watch damaged act bare stop
switch_cover tight within loose watch open act
switch_feel crisp within loose act
wheel clean within dirty watch dented act rubbing stop
wheel_gap even within uneven watch touching stop
setscrews tight within found_loose act
rotation right within wrong act
belt sound within worn watch cracked act glazed act missing stop
bearings quiet within noisy watch hot act rough act
grease_box fine within full watch overflowing act
guard on within off stop
curb tight within leaking watch loose act
hood_switch works within doubtful watch fails act
make_up_air follows within does_not_follow act
vibration_felt none within slight watch strong act violent stop
"""
ROWS = [line.split() for line in STATES.strip().splitlines()]
TABLE = [
    (row[0], state, expected)
    for row in ROWS
    for state, expected in zip(row[1::2], row[2::2], strict=True)
]


@pytest.mark.parametrize(("item", "state", "expected"), TABLE)
def test_seen_state_has_its_verdict(item: str, state: str, expected: str) -> None:
    assert verdict(item, {item: state}, plate=BELT_PLATE) == expected


@pytest.mark.parametrize("state", ["witnessed", "not_seen"])
def test_fire_system_start_has_no_verdict(state: str) -> None:
    assert judged("fire_system_start", {"fire_system_start": state}) is None


def test_slight_vibration_felt_so_before_is_within() -> None:
    found = judged("vibration_felt", {"vibration_felt": "slight"}, slight_before=True)
    assert found is not None
    assert (found.code, found.verdict) == ("vibration_felt.slight_as_before", "within")


@pytest.mark.parametrize(("state", "expected"), [("strong", "act"), ("violent", "stop")])
def test_worse_vibration_felt_is_not_excused_by_slight_before(state: str, expected: str) -> None:
    assert verdict("vibration_felt", {"vibration_felt": state}, slight_before=True) == expected


def test_hinge_rests_on_the_standard_that_demands_one() -> None:
    found = judged("hinge", {"hinge": "none"})
    assert found is not None
    assert (found.basis.standard, found.basis.clause) == ("NFPA 96", "8.1.1.1")


def test_unknown_state_is_refused_by_name() -> None:
    with pytest.raises(KeyError, match=r"hinge has no state 'bent'; it has sound, loose"):
        verdict("hinge", {"hinge": "bent"})


def test_state_left_empty_says_nothing() -> None:
    assert code("hinge", {"hinge": None}) == ""


@pytest.mark.parametrize(
    "readings",
    [{"vibration_felt": "none"}, {"vibration_curb_mm_s": 3.0},
     {"vibration_curb_mm_s": Reading(None, "", "over")}],
)  # fmt: skip
def test_vibration_is_answered_by_hand_or_by_meter(readings: dict[str, object]) -> None:
    assert "vibration" in answered_entries(readings)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("readings", "answered"),
    [({"volts_ab_v": 230}, {"volts"}), ({"volts_word": "given_by_qualified"}, {"volts"}),
     ({"volts_word": "not_measured"}, set()), ({"amps_absent": "not_measured"}, {"amps"}),
     ({"amps_a_a": 2}, {"amps"}), ({"hinge": None, "catch": Reading(None)}, set())],
)  # fmt: skip
def test_start_up_entries_are_answered_as_said(
    readings: dict[str, object], answered: set[str]
) -> None:
    assert answered_entries(readings) == answered  # type: ignore[arg-type]


def test_walk_through_with_one_item_left_out_names_it() -> None:
    entries = LOOK_LISTS["walk_through_belt"]
    readings = {entry: "seen" for entry in entries if entry not in ("vibration", "curb")}
    assert unanswered({**readings, "vibration_felt": "none"}, entries) == ("curb",)
