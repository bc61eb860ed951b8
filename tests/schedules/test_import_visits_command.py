"""The command that brings in old records."""

from __future__ import annotations

import json
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from fleet.models import Fan
from schedules.management.commands.import_fleet import reading
from schedules.models import DueState
from tests.visits.roofs import PLACE, WITHIN, check, make_roof, visit
from visits.models import Visit

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("size", "told"), [(3, "0.1 kB"), (61_240, "61.2 kB"), (2_400_000, "2.4 MB")]
)
def test_file_when_small_or_large_then_its_size_is_said(size: int, told: str) -> None:
    assert reading("old.jsonl", size) == f"Reading old.jsonl, {told} …"


@pytest.fixture
def old(tmp_path: Path) -> Path:
    """A file with one whole walk-through of EF-1."""
    make_roof()
    path = tmp_path / "old.jsonl"
    path.write_text(json.dumps(visit(check(seen=WITHIN))))
    return path


def told(*words: str) -> str:
    """What the command writes."""
    out = StringIO()
    call_command("import_visits", *words, stdout=out, stderr=StringIO())
    return out.getvalue()


def test_command_when_run_twice_then_adds_and_then_says_that_nothing_changed(old: Path) -> None:
    first, again = told(str(old)), told(str(old))
    assert first.startswith("Added 1 visit.\n1 fan was reckoned.\n")
    assert again == "The record is on record already; nothing changed.\n"


def test_command_when_run_then_ends_with_the_due_list(old: Path) -> None:
    lines = told(str(old)).splitlines()
    assert ("OVERDUE" in lines, "  EF-1  Quay Street" in "\n".join(lines)) == (True, True)
    assert lines[-1] == "The whole list: manage.py due_list"


def test_command_when_run_then_the_fan_has_its_date(old: Path) -> None:
    told(str(old))
    # No code inspection on record: due 14 days after the fan was entered on 1 January.
    due = DueState.objects.get(fan=Fan.objects.get(tag="EF-1"))
    assert (due.due_on.isoformat(), due.due_rule) == ("2026-01-15", 2)


def test_command_when_dry_then_stores_nothing(old: Path) -> None:
    assert (told(str(old), "--dry-run"), Visit.objects.count()) == ("Would add 1 visit.\n", 0)


def test_command_when_the_file_is_wrong_then_tells_all_and_fails(tmp_path: Path) -> None:
    path = tmp_path / "wrong.jsonl"
    make_roof()
    path.write_text(json.dumps({"kind": "walk", **PLACE}))
    with pytest.raises(CommandError, match="2 things to put right; nothing was stored"):
        told(str(path))


def test_command_when_many_words_were_possible_then_told_where_they_are_listed(
    tmp_path: Path,
) -> None:
    make_roof()
    path, out = tmp_path / "wrong.jsonl", StringIO()
    path.write_text(json.dumps(visit(check(readings={"zorks": 1}))))
    with pytest.raises(CommandError):
        call_command("import_visits", str(path), stdout=out, stderr=StringIO())
    assert "more, all listed by import_visits --help" in out.getvalue()


@pytest.mark.parametrize(("words", "lines"), [((), 41), (("--all",), 60)])
def test_command_when_very_much_is_wrong_then_all_of_it_is_shown_where_asked(
    tmp_path: Path, words: tuple[str, ...], lines: int
) -> None:
    make_roof()
    path, out = tmp_path / "wrong.jsonl", StringIO()
    path.write_text("\n".join(json.dumps(visit(check(f"X{n}"))) for n in range(60)))
    with pytest.raises(CommandError, match="60 things"):
        call_command("import_visits", str(path), *words, stdout=out, stderr=StringIO())
    assert len(out.getvalue().splitlines()) == lines


def test_command_when_the_file_is_not_there_then_says_so(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="cannot be read"):
        told(str(tmp_path / "none"))


def test_command_when_json_is_asked_for_then_machine_readable(old: Path) -> None:
    assert json.loads(told(str(old), "--json"))["added"] == {"visit": 1}
