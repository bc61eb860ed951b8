"""On the day of a swap: who came before it saw the old machine, whichever visit came in first."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from fleet.models import Fan, Machine
from fleet.services.machines import replace_machine
from tests.visits.roofs import NOW, check, correct, log, make_roof
from visits.models import Check, Finding
from visits.services import RecordedVisit

pytestmark = pytest.mark.django_db
NEW = {"serial": "NEW-1", "volts": "230", "full_load_amps": "6.4"}
SWAP = {"fan": "EF-1", "kind": "replaced", "item": "machine", "machine": NEW}
MORNING, NOON, EVENING = (f"2026-03-02T{hour}:00" for hour in ("09", "12", "17"))


@pytest.fixture
def old() -> Machine:
    """What stood at EF-1 before: 3.2 A at 230 V, times 1.15."""
    make_roof()
    return Machine.objects.get(fan__tag="EF-1")


def swap(on: str = NOON) -> RecordedVisit:
    return log(check(stage="as_left"), on=on, kind="replacement", actions=[SWAP])


def read(on: str, **parts: Any) -> RecordedVisit:
    return log(check(readings={"amps_a": 4}), on=on, **parts)


def seen(recorded: RecordedVisit) -> tuple[str, str]:
    """The serial number of the machine that a visit's check saw, and how its current was judged."""
    row = Check.objects.select_related("machine").get(visit=recorded.visit)
    return row.machine.serial, row.judged["amps"]


def test_check_when_read_before_the_swap_but_sent_after_it_then_of_the_old_machine(
    old: Machine,
) -> None:
    """4 A are over the old plate's 3.2 A by more than its service factor, well within 6.4 A."""
    swap()
    assert seen(read(MORNING)) == ("", "act")
    assert seen(read(EVENING)) == ("NEW-1", "within")


def test_check_when_read_and_sent_before_the_swap_then_the_swap_leaves_it_to_the_old_machine(
    old: Machine,
) -> None:
    morning = read(MORNING)
    swap()
    assert seen(morning) == ("", "act")


def test_check_when_corrected_after_the_swap_then_still_of_the_machine_it_saw(old: Machine) -> None:
    morning = read(MORNING)
    swap()
    again = correct(morning, check(readings={"amps_a": 3}), on=MORNING)
    assert seen(again) == ("", "within")


def test_check_when_nobody_told_the_time_then_of_the_new_machine(old: Machine) -> None:
    swap()
    assert seen(read("2026-03-02"))[0] == "NEW-1"


def test_check_when_the_register_alone_tells_of_the_swap_then_of_the_new_machine(
    old: Machine,
) -> None:
    """Which has no time of day: as for a plate read that day."""
    fan = Fan.objects.get(tag="EF-1")
    replace_machine(fan=fan, installed_on=date(2026, 3, 2), plate=NEW, by=None, now=NOW)
    assert seen(read(MORNING))[0] == "NEW-1"


def test_finding_when_made_before_the_swap_but_sent_after_it_then_of_the_old_machine(
    old: Machine,
) -> None:
    swap()
    found = {"fan": "EF-1", "item": "motor", "severity": "degraded"}
    log(on=MORNING, findings=[found])
    assert Finding.objects.get().machine == old
