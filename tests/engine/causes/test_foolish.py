"""What the list must never say: of parts the machine has not got, or of another machine's past."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest

from fleet.failure_terms import MECHANISMS
from fleet.quantities import MOTOR_TYPES, SPEED_CONTROLS
from schedules.engine.causes import (
    Happening,
    Past,
    Seen,
    WhyFailed,
    Work,
    default_table,
    why_failed,
)

DAY = 740_000
ITEMS = tuple(default_table().candidates)
BELTS = {
    "belt_too_tight",
    "belt_too_slack",
    "misaligned_sheaves",
    "worn_sheaves",
    "not_retensioned",
}


LIKELY = ("most_likely", "likely")


def told(past: Past) -> dict[str, str]:
    return {each.cause: each.band for each in why_failed(past).causes}


def look(ago: int, verdicts: dict[str, str] | None = None, **states: str) -> Seen:
    return Seen(DAY - ago, verdicts or {}, states)


def names(answer: WhyFailed) -> set[str]:
    return {cause.cause for cause in answer.causes} | {look.code for look in answer.looks}


@pytest.mark.parametrize("item", [item for item in ITEMS if item != "belt"])
def test_machine_when_all_that_is_known_is_that_it_is_new_then_nothing_is_likely(
    item: str,
) -> None:
    """A belt came with it, and nobody tensioned that again."""
    past = Past(item, DAY, DAY, works=(Work("replaced", "machine", DAY - 20),))
    assert not {"likely", "most_likely"} & set(told(past).values())


@pytest.mark.parametrize(("item", "look_for"), [("hinge", "see_hinge"), ("cable", "see_cable")])
def test_item_when_it_failed_then_nobody_is_sent_to_see_whether_it_is_sound(
    item: str, look_for: str
) -> None:
    assert look_for not in names(why_failed(Past(item, DAY, DAY)))


@pytest.mark.parametrize(
    ("seen", "first"),
    [
        ({"vibration_felt": "strong", "wheel": "dirty"}, "vibration"),
        ({"setscrews": "found_loose"}, "loose_setscrew"),
        ({"corrosion": "deep"}, "corrosion"),
    ],
)
def test_shaft_when_it_failed_then_what_was_seen_comes_first(
    seen: dict[str, str], first: str
) -> None:
    verdicts = {"vibration_felt": "act"} if "vibration_felt" in seen else {}
    told_of = why_failed(Past("shaft", DAY, DAY, looks=(look(3, verdicts, **seen),)))
    assert (told_of.causes[0].cause, told_of.causes[0].band in LIKELY) == (first, True)


def test_catch_when_it_failed_then_its_hinge_is_worth_a_look() -> None:
    assert "see_hinge" in names(why_failed(Past("catch", DAY, DAY)))


@pytest.mark.parametrize("item", ITEMS)
def test_direct_drive_when_it_fails_then_no_belt_is_blamed_or_looked_at(item: str) -> None:
    past = Past(item, DAY, DAY, belt_drive=False)
    assert not names(why_failed(past, qualified=True)) & (
        BELTS | {"measure_belt", "see_belt", "see_sheaves"}
    )


@pytest.mark.parametrize(("motor", "item"), list(product(MOTOR_TYPES, ITEMS)))
def test_motor_when_of_a_type_then_only_what_it_has_is_blamed_or_looked_at(
    motor: str, item: str
) -> None:
    found = names(why_failed(Past(item, DAY, DAY, motor_type=motor), qualified=True))
    foreign = {
        "three_phase": {"weak_capacitor", "measure_capacitor"},
        "psc": {"lost_phase", "voltage_unbalance"},
        "ec": {
            "lost_phase", "voltage_unbalance", "weak_capacitor", "winding_to_ground",
            "overload_too_high", "test_insulation", "measure_windings", "measure_capacitor",
        },
        "other": set(),
    }  # fmt: skip
    assert not found & foreign[motor]


@pytest.mark.parametrize("item", ITEMS)
def test_winding_when_behind_a_drive_then_not_to_be_tested_through_it(item: str) -> None:
    """Rules, B: insulation and windings are never asked through electronics."""
    offered = names(why_failed(Past(item, DAY, DAY, control="drive"), qualified=True))
    assert not offered & {"test_insulation", "measure_windings"}


def test_capacitor_when_the_motor_has_none_then_said_instead_of_a_list() -> None:
    answer = why_failed(Past("capacitor", DAY, DAY, motor_type="three_phase"))
    assert (answer.causes, answer.looks, answer.trouble) == ((), (), "not_on_this_machine")


def test_belt_when_the_fan_is_direct_then_said_instead_of_a_list() -> None:
    answer = why_failed(Past("belt", DAY, DAY, belt_drive=False))
    assert (answer.causes, answer.trouble) == ((), "not_on_this_machine")


def test_item_when_nobody_wrote_causes_for_it_then_said() -> None:
    assert why_failed(Past("guard", DAY, DAY)).trouble == "no_table"


@pytest.mark.parametrize("control", SPEED_CONTROLS)
def test_motor_when_not_slowed_by_a_triac_then_no_triac_is_blamed(control: str) -> None:
    found = told(Past("motor", DAY, DAY, motor_type="psc", control=control))
    assert ("speed_control_heat" in found) == (control == "triac")


def test_switch_when_replaced_yesterday_then_not_worn_by_what_was_seen_before() -> None:
    old = look(200, {"poles": "act"}, switch_feel="loose", switch_cover="open")
    past = Past(
        "switch", DAY, DAY, since_day=DAY - 6000, looks=(old,),
        works=(Work("replaced", "switch", DAY - 1),),
    )  # fmt: skip
    shown = {cause for cause, band in told(past).items() if band != "not_shown"}
    assert shown <= {"loose_connection"}, "the work itself is all there is to blame"


def test_evidence_when_from_before_the_machine_then_does_not_count() -> None:
    before = look(40, {"insulation": "stop", "vibration_felt": "act"}, motor_vents="plugged")
    past = Past("motor", DAY, DAY, since_day=DAY - 30, looks=(before,))
    shown = {cause for cause, band in told(past).items() if band != "not_shown"}
    assert shown <= {"reversed_rotation"}, "a new machine may be wired the wrong way"
    assert told(replace(past, since_day=DAY - 900))["vents_plugged"] != "not_shown"


def test_evidence_when_mended_before_the_failure_then_does_not_count() -> None:
    past = Past("motor", DAY, DAY, looks=(look(40, {}, motor_vents="plugged"),))
    cleaned = replace(past, works=(Work("cleaned", "motor", DAY - 39),))
    bands = [told(each)["vents_plugged"] for each in (past, cleaned)]
    assert bands[1] == "not_shown" != bands[0]


def test_evidence_when_of_the_repair_then_the_failed_part_is_still_old() -> None:
    """The new switch of the day it failed does not make the old one new."""
    past = Past(
        "switch", DAY, DAY, since_day=DAY - 6000, looks=(look(0, {}, switch_feel="loose"),),
        works=(Work("replaced", "switch", DAY),),
    )  # fmt: skip
    assert told(past)["wear"] != "not_shown"


EVENTS_THAT_MATTER = [
    ("motor", "hood_cleaning"), ("motor", "storm"), ("motor", "power_event"),
    ("wheel", "hood_cleaning"), ("cable", "hood_cleaning"), ("hinge", "hood_cleaning"),
]  # fmt: skip


@pytest.mark.parametrize(("item", "kind"), EVENTS_THAT_MATTER)
def test_event_when_before_the_machine_came_then_it_made_nothing_fail(item: str, kind: str) -> None:
    events = (Happening(kind, DAY - 3, tipped=True),)
    young, old = (Past(item, DAY, DAY, since_day=DAY - days) for days in (2, 2000))
    assert why_failed(replace(young, events=events)) == why_failed(young)
    assert why_failed(replace(old, events=events)) != why_failed(old)


def test_work_when_before_the_machine_came_or_after_it_failed_then_no_reason() -> None:
    works = (
        Work("remounted", "curb", DAY - 9), Work("replaced", "sheaves", DAY - 9),
        Work("regreased", "bearings", DAY), Work("speed_changed", "sheaves", DAY),
    )  # fmt: skip
    for item in ("wheel", "bearings"):
        plain = Past(item, DAY, DAY, since_day=DAY - 5, belt_drive=True, bearings="sealed")
        worked = why_failed(replace(plain, works=works))
        assert worked == why_failed(plain)


@pytest.mark.parametrize("kind", ["hood_cleaning", "storm", "power_event", "kitchen_change"])
@pytest.mark.parametrize("item", ITEMS)
def test_event_when_after_the_failure_then_it_made_nothing_fail(item: str, kind: str) -> None:
    plain = Past(item, DAY, DAY + 5)
    later = replace(plain, events=(Happening(kind, DAY + 2, tipped=True),))
    assert why_failed(later) == why_failed(plain)


def test_cable_when_found_bare_then_that_is_the_failure_and_no_evidence_of_handling() -> None:
    bare = Past("cable", DAY, DAY, looks=(look(0, {"cable": "stop"}, cable="bare"),))
    assert set(told(bare).values()) == {"not_shown"}


def test_old_look_when_two_years_ago_then_forgotten() -> None:
    past = Past("motor", DAY, DAY, looks=(look(800, {}, motor_vents="plugged"),))
    assert told(past)["vents_plugged"] == "not_shown"


def test_fan_left_off_when_it_broke_under_load_then_not_blamed_on_who_switches() -> None:
    """A switch that failed while running was not left off: causes name the modes they fit."""
    event = Happening("hood_cleaning", DAY - 1)
    modes = {
        mode: "left_off" in told(Past("switch", DAY, DAY, mode=mode, events=(event,)))
        for mode in ("FTS", "", "BRD", "ELP")
    }
    assert modes == {"FTS": True, "": True, "BRD": False, "ELP": False}


def test_cause_when_only_the_repeat_speaks_for_it_then_not_shown() -> None:
    """That a switch failed again tells that something lasts, not that water got in."""
    past = Past("switch", DAY, DAY, looks=(look(30, switch_cover="tight", corrosion="none"),))
    answer = told(replace(past, failures=(("switch", DAY - 90),)))
    assert set(answer.values()) == {"not_shown"}


def test_bearings_when_they_shake_as_they_fail_then_shaking_is_no_cause() -> None:
    shaking = look(0, {"vibration_felt": "stop"})
    before = replace(shaking, day=DAY - 30)
    bands = [told(Past("bearings", DAY, DAY, looks=(each,)))["vibration"] for each in
             (shaking, before)]  # fmt: skip
    assert bands[0] == "not_shown" != bands[1]


def test_switch_when_renewed_for_it_then_it_had_not_been_left_off() -> None:
    past = Past("switch", DAY, DAY, mode="FTS", events=(Happening("hood_cleaning", DAY - 1),))
    renewed = replace(past, works=(Work("replaced", "switch", DAY),))
    assert told(past)["left_off"] == "most_likely"
    assert "left_off" not in told(renewed)


@pytest.mark.parametrize("item", ITEMS)
@pytest.mark.parametrize("mechanism", ["unknown", "burst", "sorcery", "Loosening "])
def test_mechanism_when_silent_or_on_no_list_then_moves_nothing(item: str, mechanism: str) -> None:
    """Whoever asks gives the term as listed; a stranger's word is kept and tells nothing."""
    assert why_failed(Past(item, DAY, DAY, mechanism=mechanism)) == why_failed(Past(item, DAY, DAY))


def test_mechanism_when_rust_was_seen_as_well_then_told_once() -> None:
    seen = Past("switch", DAY, DAY, looks=(look(5, corrosion="deep"),))
    both = replace(seen, mechanism="corrosion")
    assert told(both)["corrosion"] == told(seen)["corrosion"] == "likely"
    held = [each.chance for past in (seen, both) for each in why_failed(past).causes[:1]]
    assert held[1] == pytest.approx(held[0], abs=0.05)


def test_mechanism_when_the_machine_has_no_belt_then_blames_none() -> None:
    past = Past("wheel", DAY, DAY, belt_drive=False, mechanism="misalignment")
    assert "misaligned_sheaves" not in told(past)


def test_wear_when_written_of_a_new_part_then_not_called_worn_with_age() -> None:
    past = Past("switch", DAY, DAY, since_day=DAY - 20, mechanism="wear")
    assert told(past)["wear"] == "not_shown"


@pytest.mark.parametrize("mechanism", MECHANISMS)
@pytest.mark.parametrize("item", ITEMS)
def test_mechanism_when_it_is_all_there_is_then_nothing_is_most_likely(
    item: str, mechanism: str
) -> None:
    assert "most_likely" not in told(Past(item, DAY, DAY, mechanism=mechanism)).values()


DENIED = [
    ("breaker", "earth_fault", "winding_to_ground", look(0, {"insulation": "within"})),
    ("wheel", "contamination", "grease_on_wheel", look(9, wheel="clean")),
    ("switch", "corrosion", "corrosion", look(5, corrosion="none")),
    ("overload", "out_of_adjustment", "set_too_low",
     Seen(DAY - 3, {"overload": "within"}, {}, overload_of_full_load=1.0)),
]  # fmt: skip


@pytest.mark.parametrize(("item", "mechanism", "cause", "seen"), DENIED)
def test_mechanism_when_a_look_denies_it_then_both_are_told_and_nothing_is_likely(
    item: str, mechanism: str, cause: str, seen: Seen
) -> None:
    past = Past(item, DAY, DAY, mechanism=mechanism, looks=(seen,))
    [told_of] = [each for each in why_failed(past).causes if each.cause == cause]
    assert told_of.band == "possible"
    assert told_of.speaks_for
    assert told_of.speaks_against


def test_bearings_when_vibration_is_written_then_that_is_the_failure_and_no_cause() -> None:
    past = Past("bearings", DAY, DAY, mechanism="vibration")
    assert why_failed(past) == why_failed(replace(past, mechanism=""))


def test_causes_confirmed_when_this_machine_cannot_have_them_then_they_move_nothing() -> None:
    """Capacitors of other motors say nothing of a three-phase motor with plugged vents."""
    plugged = look(5, motor_vents="plugged")
    past = Past("motor", DAY, DAY, motor_type="three_phase", looks=(plugged,))
    assert why_failed(past, {"weak_capacitor": 900}) == why_failed(past)


def test_word_when_it_failed_before_and_the_cause_is_common_then_still_not_most_likely() -> None:
    """A word and a repeat are nothing seen or measured, however often that cause was found."""
    past = Past("switch", DAY, DAY, mechanism="loosening", failures=(("switch", DAY - 90),))
    bands = {each.cause: each.band for each in why_failed(past, {"vibration": 900}).causes}
    assert bands["vibration"] == "likely"


@pytest.mark.parametrize(
    "past",
    [
        Past("bearings", DAY, DAY, control="drive"),
        Past("motor", DAY, DAY, motor_type="psc", control="triac"),
        Past("capacitor", DAY, DAY, motor_type="psc", since_day=DAY - 4000),
    ],
)
def test_register_when_it_is_all_there_is_then_nothing_is_most_likely(past: Past) -> None:
    """That it runs on a drive, or is old, was so all the years in which it did not fail."""
    assert "most_likely" not in told(past).values()


@pytest.mark.parametrize(("item", "belt"), [("switch", False), ("belt", True)])
def test_part_when_all_that_is_known_is_that_it_is_new_then_at_most_possible(
    item: str, belt: bool
) -> None:
    """Each other cause looked for in vain leaves that, and it tells no cause."""
    calm = look(
        20, {"vibration_felt": "within"}, switch_cover="tight", corrosion="none", belt="sound"
    )
    past = Past(
        item, DAY, DAY, belt_drive=belt, looks=(calm,), works=(Work("replaced", item, DAY - 45),)
    )
    assert not {"likely", "most_likely"} & set(told(past).values())


@pytest.mark.parametrize("bearings", ["sealed", "greased", ""])
@pytest.mark.parametrize("item", ["bearings", "motor", "switch", "speed_control", "hinge"])
def test_seized_when_it_is_all_there_is_then_at_most_possible(item: str, bearings: str) -> None:
    """It tells how the part was found: water, want of grease, rust and load all leave it so."""
    past = Past(item, DAY, DAY, mechanism="seizure", bearings=bearings)
    assert not {"likely", "most_likely"} & set(told(past).values())
