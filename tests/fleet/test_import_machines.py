"""Fleet files that tell of a machine which another one replaced since."""

from datetime import date
from typing import Any

import pytest

from fleet.models import Fan, Feed, Machine
from fleet.services.machines import replace_machine
from fleet.wording import complaint_sentence, note_sentences
from tests.fleet.sheets import FULL, NOW, bring, codes, csv_file

pytestmark = pytest.mark.django_db
WITHOUT_SERIAL = {name: cell for name, cell in FULL.items() if name != "Serial"}
WITHOUT_DAY = {name: cell for name, cell in WITHOUT_SERIAL.items() if name != "Installed on"}
FILES = pytest.mark.parametrize(
    "row", [FULL, WITHOUT_SERIAL, WITHOUT_DAY], ids=["whole", "without serial", "without day"]
)
NEW: dict[str, Any] = {"serial": "N-77", "volts": "208-230/460", "motor_type": "three_phase"}


def replace(plate: dict[str, Any], on: date = date(2026, 2, 10)) -> None:
    """The fan's machine is replaced, as a visit records it."""
    replace_machine(fan=Fan.objects.get(), installed_on=on, plate=plate, by=None, now=NOW)


def machines() -> list[dict[str, Any]]:
    return list(Machine.objects.values())


@FILES
@pytest.mark.parametrize("plate", [NEW, {}], ids=["plate read", "plate not read"])
def test_same_file_after_a_replacement_then_nothing_changes_and_it_is_said(
    row: dict[str, str], plate: dict[str, Any]
) -> None:
    bring(csv_file(row))
    replace(plate)
    before = machines()
    report = bring(csv_file(row))
    assert (report.changes_nothing, machines()) == (True, before)
    (told,) = note_sentences(report.notes)
    assert "this tells of the machine replaced on 2026-02-10" in told


def test_same_file_after_two_replacements_then_nothing_changes() -> None:
    bring(csv_file(WITHOUT_SERIAL))
    replace({}, date(2025, 6, 3))
    replace(NEW)
    before = machines()
    assert (bring(csv_file(WITHOUT_SERIAL)).changes_nothing, machines()) == (True, before)


def test_row_of_the_machine_gone_when_its_feed_changed_then_only_that_is_stored() -> None:
    bring(csv_file(WITHOUT_SERIAL))
    replace(NEW)
    changes = bring(csv_file(WITHOUT_SERIAL | {"Panel": "RP-3"})).changes
    assert ([c.column for c in changes], Feed.objects.get().panel) == (["Panel"], "RP-3")


@pytest.mark.parametrize(
    "cells",
    [{"Serial": "", "Volts": "460", "Full-load amps": "1.6"}, {"Installed on": "2019-01-01"}],
    ids=["other plate, no serial", "other day"],
)
def test_row_of_an_earlier_machine_that_says_more_then_complaint(cells: dict[str, str]) -> None:
    bring(csv_file(FULL))
    replace(NEW)
    before = machines()
    report = bring(csv_file(FULL | cells))
    assert (codes(report), machines()) == ([(2, "Installed on", "machine_gone")], before)


def test_machine_gone_when_the_new_one_has_no_serial_then_still_a_sentence() -> None:
    bring(csv_file(FULL))
    replace({})
    (said,) = bring(csv_file(FULL | {"Installed on": "2019-01-01"})).complaints
    assert "since 2026-02-10 another machine is installed there" in complaint_sentence(said)


@pytest.mark.parametrize(
    "cells", [{"Serial": "N-77"}, {"Installed on": "2026-02-10"}], ids=["its serial", "its day"]
)
def test_row_of_the_machine_now_there_then_corrects_its_plate(cells: dict[str, str]) -> None:
    bring(csv_file(WITHOUT_DAY))
    replace(NEW)
    bring(csv_file(WITHOUT_DAY | cells | {"Power (hp)": "2"}))
    assert [row["power_hp"] for row in machines()] == [1, 2]


def test_other_day_of_the_only_machine_then_corrected() -> None:
    bring(csv_file(FULL))
    bring(csv_file(FULL | {"Installed on": "2019-04-01"}))
    assert Machine.objects.get().installed_on == date(2019, 4, 1)
