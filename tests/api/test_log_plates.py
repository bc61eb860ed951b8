"""A nameplate read on a visit: fills what the register lacks, tells what it has otherwise."""

from __future__ import annotations

import json
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Fan, Machine, Person
from tests.api.asking import V1, by_key, faults
from tests.api.logs import VISITS, corrected, look
from tests.people import Roofs
from visits.models import Check, PlateReading


@pytest.fixture
def machine(roofs: Roofs) -> Machine:
    """The bakery's machine, of which little is on record."""
    roofs.bakery.machines.all().delete()
    return Machine.objects.create(
        fan=roofs.bakery, motor_type="three_phase", volts="230/?", full_load_amps="3.3/1.6",
        unreadable=["frame"],
    )  # fmt: skip


def read(fan: Fan, plate: dict[str, Any], **check: Any) -> dict[str, Any]:
    """A visit on which the fan's plate was read."""
    return {**look(fan, **check), "plates": [{"fan": fan.tag, "machine": plate}]}


def post(person: Person, payload: dict[str, Any]) -> dict[str, Any]:
    """What the phone hears of the plate."""
    answer = by_key(person).post(VISITS, payload)
    assert answer.status_code == 201, answer.text
    told: dict[str, Any] = answer.json()["plates"][0]
    return told


def test_plate_when_parts_are_empty_or_unreadable_on_record_then_filled(
    roofs: Roofs, machine: Machine, theo: Person
) -> None:
    told = post(theo, read(roofs.bakery, {
        "volts": "230/460", "power_hp": "3/4 hp", "frame": "56", "phases": "3",
        "thermally_protected": True, "unreadable": ["insulation_class"],
    }))  # fmt: skip
    machine.refresh_from_db()
    assert (machine.volts, machine.power_hp, machine.frame) == ("230/460", 0.75, "56")
    assert (machine.phases, machine.thermally_protected) == (3, True)
    assert machine.unreadable == ["insulation_class"]
    assert told["filled"]["volts"] == "230/460"
    assert told["sentences"][0].startswith("Now in the register: Phases 3; Volts 230/460; ")


def test_plate_when_it_differs_from_the_register_then_kept_and_told(
    roofs: Roofs, machine: Machine, theo: Person, mara: Person
) -> None:
    told = post(theo, read(roofs.bakery, {"full_load_amps": "3.2/1.6", "hertz": "60"}))
    machine.refresh_from_db()
    assert (machine.full_load_amps, machine.hertz) == ("3.3/1.6", 60)
    assert told["differs"] == {"full_load_amps": ["3.3/1.6", "3.2/1.6"]}
    assert "the register says 3.3/1.6, 3.2/1.6 was read" in told["sentences"][1]
    whole = by_key(mara).get(f"{VISITS}/{PlateReading.objects.get().visit_id}").json()
    assert whole["plates"][0]["differs"] == told["differs"]


def test_plate_when_another_serial_is_read_then_nothing_is_filled(
    roofs: Roofs, machine: Machine, theo: Person
) -> None:
    Machine.objects.filter(pk=machine.pk).update(serial="A1-2207")
    told = post(theo, read(roofs.bakery, {"serial": "B9-1", "hertz": "60"}))
    machine.refresh_from_db()
    assert (machine.hertz, told["filled"]) == (None, {})
    assert "it may be another machine" in told["sentences"][0]


def test_plate_when_a_part_cannot_be_so_then_the_visit_is_taken_and_that_part_told(
    roofs: Roofs, machine: Machine, theo: Person
) -> None:
    told = post(theo, read(roofs.bakery, {"speed_rpm": "17x5", "hertz": "60", "phases": "1"}))
    machine.refresh_from_db()
    assert (machine.hertz, machine.speed_rpm) == (60, None)
    assert set(told["refused"]) >= {"speed_rpm"}


def test_plate_when_filled_then_the_same_visit_is_judged_by_it(
    roofs: Roofs, machine: Machine, theo: Person
) -> None:
    """Amperes over those of the plate times 1.15 are judged once the plate says 1.6 A at 460 V."""
    Machine.objects.filter(pk=machine.pk).update(volts="", full_load_amps="")
    amps = {f"amps_{line}": {"value": 9.0, "unit": "A"} for line in "abc"}
    before = by_key(theo).post(VISITS, look(roofs.bakery, readings=amps)).json()["checks"][0]
    plate = {"volts": "460", "full_load_amps": "1.6", "phases": "3"}
    payload = read(roofs.bakery, plate, readings=amps)
    after = by_key(theo).post(VISITS, payload).json()["checks"][0]
    assert (before["worst"], after["worst"]) != ("act", "cannot_judge")
    assert before["worst"] != after["worst"]
    earlier = Check.objects.order_by("visit__received_at").first()
    assert earlier is not None
    assert set(earlier.judged.values()) & {"act", "stop"}


def test_plate_when_sent_again_then_answered_the_same_and_filled_once(
    roofs: Roofs, machine: Machine, theo: Person
) -> None:
    payload = read(roofs.bakery, {"hertz": "60"})
    first, again = (by_key(theo).post(VISITS, payload).json()["plates"] for _ in range(2))
    assert first == again
    history = machine.history.filter(hertz=60)
    assert history.count() == 1
    entry = history.get()
    assert (entry.history_user, entry.history_change_reason) == (
        theo, f"plate read on visit {payload['id']}",
    )  # fmt: skip


def test_plate_when_the_visit_is_corrected_then_what_it_filled_is_put_right(
    roofs: Roofs, machine: Machine, theo: Person
) -> None:
    wrong = read(roofs.bakery, {"hertz": "50", "power_hp": "2"})
    post(theo, wrong)
    Machine.objects.filter(pk=machine.pk).update(power_hp=3)  # by the office meanwhile
    right = {"fan": roofs.bakery.tag, "machine": {"hertz": "60", "power_hp": "1"}}
    told = post(theo, corrected(wrong, plates=[right]))
    machine.refresh_from_db()
    assert (machine.hertz, machine.power_hp) == (60, 3)
    assert (list(told["filled"]), list(told["differs"])) == (["hertz"], ["power_hp"])


def test_plate_when_its_correction_leaves_it_out_or_cannot_read_it_then_out_of_the_register(
    roofs: Roofs, machine: Machine, theo: Person
) -> None:
    first = read(roofs.bakery, {"sheaves": "3.4 in / 6.0 in", "hertz": "60"})
    post(theo, first)
    unsure = {"fan": roofs.bakery.tag, "machine": {"hertz": "60", "sheaves": "?"}}
    second = corrected(first, plates=[unsure])
    assert post(theo, second)["filled"] == {"hertz": "60"}
    machine.refresh_from_db()
    assert (machine.sheaves, machine.hertz, "sheaves" in machine.unreadable) == ("", 60, True)
    by_key(theo).post(VISITS, corrected(second, plates=[]))
    machine.refresh_from_db()
    assert (machine.hertz, machine.history.first().history_user) == (None, theo)


def test_plate_when_no_machine_is_on_record_then_entered_from_its_plate(
    roofs: Roofs, machine: Machine, theo: Person
) -> None:
    machine.delete()
    post(theo, read(roofs.bakery, {"drive": "belt", "belt": "A45", "hertz": "60"}))
    new = roofs.bakery.machines.get()
    assert (new.drive, new.belt, new.installed_on) == ("belt", "A45", None)


def test_plate_when_refused_with_its_visit_then_the_register_is_as_it_was(
    roofs: Roofs, machine: Machine, theo: Person
) -> None:
    payload = read(roofs.bakery, {"hertz": "60"})
    payload["plates"] += [{"fan": "EF-9", "machine": {}}, {"fan": "EF-1", "machine": {"volt": 1}}]
    answer = by_key(theo).post(VISITS, payload)
    told = faults(answer)
    assert (answer.status_code, "#/plates/2/machine/volt" in told) == (400, True)
    machine.refresh_from_db()
    assert machine.hertz is None


def test_plate_when_the_machine_was_replaced_on_that_visit_then_refused(
    roofs: Roofs, machine: Machine, theo: Person
) -> None:
    new = {"fan": "EF-1", "kind": "replaced", "item": "machine", "machine": {}}
    payload = {**read(roofs.bakery, {"hertz": "60"}), "id": str(uuid4()), "actions": [new]}
    answer = by_key(theo).post(VISITS, payload)
    assert (answer.status_code, faults(answer)) == (400, ["#/plates/0"])


def test_register_when_a_technician_would_edit_it_then_still_not(
    roofs: Roofs, machine: Machine, theo: Person
) -> None:
    answer = by_key(theo).patch(f"{V1}/machines/{machine.pk}", {"hertz": 60})
    assert answer.status_code in (403, 404)


@pytest.mark.parametrize(
    ("part", "said"),
    [("power_hp", "1e400"), ("power_hp", "[1]"), ("model", '"' + "x" * 251 + '"')],
)
def test_plate_when_a_part_is_nothing_any_plate_says_then_pointed_at(
    roofs: Roofs, theo: Person, part: str, said: str
) -> None:
    body = json.dumps(read(roofs.bakery, {part: "SAID"})).replace('"SAID"', said)
    answer = by_key(theo).generic("POST", VISITS, body, content_type="application/json")
    assert (answer.status_code, faults(answer)) == (400, [f"#/plates/0/machine/{part}"])


def test_plate_when_read_before_a_swap_of_that_day_but_sent_after_it_then_of_the_old_machine(
    roofs: Roofs, machine: Machine, theo: Person
) -> None:
    """The new one's plate is not held against what stood there in the morning."""
    new = {"fan": roofs.bakery.tag, "kind": "replaced", "item": "machine",
           "machine": {"serial": "NEW-1", "hertz": "60"}}  # fmt: skip
    swap = {**look(roofs.bakery, "2026-03-02T14:00"), "kind": "replacement", "actions": [new]}
    assert by_key(theo).post(VISITS, swap).status_code == 201
    told = post(theo, read(roofs.bakery, {"serial": "OLD-7", "hertz": "50"}))
    assert (told["differs"], told["filled"]) == ({}, {"serial": "OLD-7", "hertz": "50"})
    machine.refresh_from_db()
    assert (machine.serial, machine.hertz) == ("OLD-7", 50)
    assert Machine.objects.get(removed_on=None, fan=roofs.bakery).serial == "NEW-1"


def test_plate_when_a_fans_stands_there_many_times_then_the_register_is_told_of_one(
    roofs: Roofs, machine: Machine, theo: Person
) -> None:
    """A thousand held a request for ten seconds, to be refused all the same."""
    payload = read(roofs.bakery, {"hertz": "60"})
    payload["plates"] *= 50
    with CaptureQueriesContext(connection) as asked:
        answer = by_key(theo).post(VISITS, payload)
    assert faults(answer) == [f"#/plates/{place}" for place in range(1, 50)]
    assert sum('"fleet_machine"' in each["sql"] for each in asked.captured_queries) < 10
