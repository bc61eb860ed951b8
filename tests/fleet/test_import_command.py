"""The command import_fleet: what it prints, stores and reckons, and how it fails."""

import json
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from fleet.models import Fan
from schedules.models import DueState
from tests.fleet.sheets import FULL, csv_file

pytestmark = pytest.mark.django_db


@pytest.fixture
def fleet_file(tmp_path: Path) -> Path:
    path = tmp_path / "fans.csv"
    path.write_bytes(csv_file(FULL, FULL | {"Tag": "EF-2"}))
    return path


def run(capsys: pytest.CaptureFixture[str], *args: Any) -> str:
    call_command("import_fleet", *args)
    return capsys.readouterr().out


def test_import_then_says_what_was_added(
    fleet_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert "1 owner, 1 agreement, 1 site, 1 exhaust system" in run(capsys, fleet_file)


def test_import_then_every_fan_has_a_due_day(fleet_file: Path) -> None:
    call_command("import_fleet", fleet_file)
    assert DueState.objects.filter(due_on__isnull=False).count() == 2


def test_import_again_then_says_nothing_changed(
    fleet_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    call_command("import_fleet", fleet_file)
    capsys.readouterr()
    assert run(capsys, fleet_file).startswith("All 2 fans are on record")


def test_dry_run_then_nothing_is_stored(
    fleet_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = run(capsys, fleet_file, "--dry-run")
    assert (told.startswith("Would add"), Fan.objects.count()) == (True, 0)


def test_import_then_ends_with_the_due_list(
    fleet_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = run(capsys, fleet_file, "--weeks", "0")
    assert ("EF-2  Mill Lane" in told, told.splitlines()[-1]) == (
        True, "The whole list: manage.py due_list",
    )  # fmt: skip


def test_import_again_or_dry_then_no_due_list(
    fleet_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    dry = run(capsys, fleet_file, "--dry-run")
    run(capsys, fleet_file)
    assert ["due_list" in told for told in (dry, run(capsys, fleet_file))] == [False, False]


def test_json_then_the_whole_report_as_data(
    fleet_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    report = json.loads(run(capsys, fleet_file, "--json"))
    assert (report["added"]["fan"], report["onboarding"]["fans"]) == (2, 2)


def test_bad_file_then_fails_with_a_sentence(tmp_path: Path) -> None:
    path = tmp_path / "bad.csv"
    path.write_bytes(csv_file(FULL | {"Power (hp)": "NaN"}))
    with pytest.raises(CommandError, match="has 1 thing to put right; nothing was stored"):
        call_command("import_fleet", path)


def test_missing_file_then_fails_with_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="cannot be read"):
        call_command("import_fleet", tmp_path / "nowhere.csv")


def test_many_complaints_then_capped_and_counted(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "bad.csv"
    path.write_bytes(
        csv_file(*[FULL | {"Tag": f"EF-{n}", "Power (hp)": f"x{n}"} for n in range(99)])
    )
    with pytest.raises(CommandError):
        call_command("import_fleet", path)
    assert capsys.readouterr().out.rstrip().endswith("… and 59 more; --all shows them")


def test_many_complaints_when_all_are_asked_for_then_none_is_left_out(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "bad.csv"
    path.write_bytes(
        csv_file(*[FULL | {"Tag": f"EF-{n}", "Power (hp)": f"x{n}"} for n in range(99)])
    )
    with pytest.raises(CommandError, match="has 99 things to put right"):
        call_command("import_fleet", path, "--all")
    told = [line for line in capsys.readouterr().out.splitlines() if line.startswith("row")]
    assert (len(told), "“x98”" in told[-1]) == (99, True)
