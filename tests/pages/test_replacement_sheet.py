"""The sheet for a supplier: what is on record, what is a table's, what must be found out."""

from __future__ import annotations

from typing import Any

import pytest

from fleet.models import Fan, Person
from tests.pages.fan_visits import lacking, log
from tests.pages.test_due_list import text_of
from tests.pages.test_replacing import answer, replaced
from tests.people import signed_in
from tests.visits.roofs import check


def lines(fan: Fan, dana: Person) -> dict[str, dict[str, str]]:
    return {line["code"]: line for line in answer(fan, dana, "replacement").json()["lines"]}


def test_sheet_then_amperes_at_the_volts_found_and_gaps_with_who_finds_out(
    fan: Fan, dana: Person
) -> None:
    fan.machines.update(volts="208-230/460", full_load_amps="3.3-3.2/1.6")
    fan.feeds.update(connected_volts="208-230")
    log(check(readings={"volts_ab": 209, "volts_bc": 208, "volts_ca": 207}))
    told_lines = lines(fan, dana)
    assert told_lines["full_load_at_volts"]["text"] == "3.3 A"
    assert "209 V" in told_lines["volts_found"]["text"]
    assert (told_lines["curb_size"]["standing"], told_lines["air"]["standing"]) == (
        "missing", "missing",
    )  # fmt: skip
    words = text_of(signed_in(dana).get(f"/fans/{fan.pk}/replacement/"))
    assert lacking(words, "Find out on the roof", "Curb size : measure the curb") == []


def test_sheet_when_the_hinge_seen_was_the_last_machine_s_then_to_be_found_out(
    fan: Fan, dana: Person
) -> None:
    log(check(seen={"hinge": "sound"}), on="2026-01-05T09:10")
    assert lines(fan, dana)["hinge"]["standing"] == "on_record"
    replaced("2026-02-02")
    assert lines(fan, dana)["hinge"]["standing"] == "missing"


def test_sheet_then_the_service_s_volts_and_poles_as_registered(fan: Fan, dana: Person) -> None:
    """A motor for 230 V on a 208 V service is what an owner must not buy again."""
    fan.feeds.update(poles=1, service_volts=208)
    told_lines = lines(fan, dana)
    assert "1 pole" in told_lines["breaker"]["text"].split(", ")
    assert told_lines["service_volts"]["text"] == "208 V"


@pytest.mark.parametrize(
    ("plate", "model", "serial"),
    [
        ({"model": "UB-18", "serial": "A1807"}, ("on_record", "UB-18"), ("on_record", "A1807")),
        ({"model": "", "serial": "A1807"}, ("missing", ""), ("on_record", "A1807")),
        ({"model": "UB-18", "unreadable": ["serial"]}, ("on_record", "UB-18"), ("unreadable", "")),
    ],
)
def test_sheet_then_model_and_serial_number_each_for_itself(
    fan: Fan, dana: Person, plate: dict[str, Any], model: tuple[str, str], serial: tuple[str, str]
) -> None:
    """Makers are asked by both; the one must not hide that the other is wanting."""
    fan.machines.update(**plate)
    told = lines(fan, dana)
    assert [(told[name]["standing"], told[name]["text"]) for name in ("model", "serial")] == [
        model, serial,
    ]  # fmt: skip


# NEMA MG-1 (clause 12.44 from memory), rules.md B: a motor takes 0.9 to 1.1 times its rated volts.
@pytest.mark.parametrize(
    ("connected", "lines_v", "service", "doubted"),
    [
        ("460", (208, 207, 208), 208, True),
        ("230", (202, 200, 200), 208, True),
        ("460", (), 208, True),
        ("230", (230, 231, 229), 230, False),
        ("230", (230, 1.5, 229), 230, True),
    ],
)
def test_sheet_when_the_plate_s_rating_is_not_what_feeds_it_then_its_amperes_are_doubted(
    fan: Fan, dana: Person, connected: str, lines_v: tuple[float, ...], service: int, doubted: bool
) -> None:
    """A motor ordered by such amperes is the wrong one."""
    fan.feeds.update(connected_volts=connected, service_volts=service)
    if lines_v:
        names = ("volts_ab", "volts_bc", "volts_ca")
        log(check(readings=dict(zip(names, lines_v, strict=True))))
    note = lines(fan, dana)["full_load_at_volts"]["note"]
    assert ("which is not what feeds it" in note) is doubted


# Tables 430.248 and 430.250 hold 60 Hz columns of 115 to 575 V and motors without electronics.
@pytest.mark.parametrize(
    "motor", [{"phases": 3, "hertz": 50}, {"phases": 3}, {"phases": 1, "motor_type": "ec"}]
)
def test_sheet_when_no_table_holds_such_a_motor_then_none_is_borrowed(
    fan: Fan, dana: Person, motor: dict[str, Any]
) -> None:
    fan.machines.update(volts="", full_load_amps="", power_hp=2, **motor)
    fan.feeds.update(connected_volts="", service_volts=230 if "motor_type" in motor else None)
    volts = {"volts_ab": 230} if motor["phases"] == 1 else {"volts_ab": 400, "volts_bc": 400}
    log(check(readings=volts))
    assert lines(fan, dana)["full_load_at_volts"]["standing"] == "missing"


# NFPA 70 (2017) Table 430.250: 1 hp at 230 V, three-phase, 4.2 A.
def test_sheet_when_the_plate_cannot_be_read_then_a_table_s_value_marked_as_one(
    fan: Fan, dana: Person
) -> None:
    fan.machines.update(full_load_amps="", volts="230", phases=3, unreadable=["full_load_amps"])
    told_lines = lines(fan, dana)
    found = told_lines["full_load_at_volts"]
    assert (found["text"], found["standing"]) == ("4.2 A", "table")
    assert told_lines["full_load_amps"]["standing"] == "unreadable"
