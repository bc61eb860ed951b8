"""The due list as a terminal shows it: aligned, cut to its width, coloured only where seen."""

from __future__ import annotations

import io
from typing import Any

import pytest

from fleet.models import Fan
from schedules.due.reckoning import reckon_fleet
from schedules.terminal import write_due_list
from tests.people import Roofs
from tests.schedules.fans import NOW, walk

pytestmark = pytest.mark.django_db


class Terminal(io.StringIO):
    """A screen that somebody looks at."""

    def isatty(self) -> bool:
        return True


class Plain(io.StringIO):
    """A stream that has ASCII only."""

    encoding = "ascii"


@pytest.fixture
def fleet(roofs: Roofs) -> Roofs:
    """A stop at the bakery, everything sound at the canteen, the diner never seen."""
    walk(roofs.bakery, "2026-06-01", {"guard": "stop"}, guard="off")
    walk(roofs.canteen, "2026-06-10")
    for fan in roofs.all:
        inspect(fan)
    reckon_fleet(now=NOW)
    return roofs


def inspect(fan: Fan) -> None:
    """A code inspection just made, so that other rules speak."""
    visit = walk(fan, "2026-06-11", curb=None).visit
    visit.inspections.create(system=fan.system, qualified=True)


def shown(out: io.StringIO, **asked: Any) -> list[str]:
    write_due_list(out, now=NOW, **asked)
    return out.getvalue().splitlines()


def test_terminal_when_read_then_headings_columns_reasons_and_counts(
    fleet: Roofs, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "100")
    lines = shown(io.StringIO())
    assert [line for line in lines if line and not line.startswith("    ")] == [
        "OVERDUE",
        "Mon 1 Jun   14 days ago, overdue   stop  EF-1  Alder Bakery",
        "Thu 15 Jan  151 days ago, overdue        EF-3  Dory's Roof",
        "LATER",
        "Mon 10 Aug  in 56 days                   EF-2  Alder Canteen",
        "2 fans are overdue, 0 more are due now or within a week.",
    ]


def test_terminal_when_read_then_each_fan_has_its_reason_below(fleet: Roofs) -> None:
    lines = shown(io.StringIO())
    at = next(number for number, line in enumerate(lines) if "EF-2" in line)
    assert lines[at + 1].startswith("    Walk-through: last complete one Wed 10 Jun 2026;")


@pytest.mark.parametrize("columns", ["20", "72", "300"])
def test_terminal_when_narrow_or_wide_then_no_line_is_longer(
    fleet: Roofs, monkeypatch: pytest.MonkeyPatch, columns: str
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    assert max(map(len, shown(io.StringIO()))) <= min(max(int(columns), 60), 110)


def test_terminal_when_nobody_looks_then_no_colour(fleet: Roofs) -> None:
    write_due_list(out := io.StringIO(), now=NOW)
    assert "\x1b" not in out.getvalue()


def test_terminal_when_somebody_looks_then_stop_is_loud(
    fleet: Roofs, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    assert any("\x1b[1;31mstop" in line for line in shown(Terminal()))


def test_terminal_when_a_stop_stands_behind_another_date_then_told_before_it(
    roofs: Roofs,
) -> None:
    walk(roofs.bakery, "2026-06-01", {"guard": "stop"}, guard="off")
    reckon_fleet(now=NOW)
    lines = shown(io.StringIO())
    at = next(number for number, line in enumerate(lines) if "EF-1" in line)
    told = [line.strip()[:21] for line in (lines[at + 1], lines[at + 3])]
    assert told == ["STOP: The guard is of", "Code inspection: none"]


def test_terminal_when_colour_is_unwanted_then_none(
    fleet: Roofs, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    write_due_list(out := Terminal(), now=NOW)
    assert "\x1b" not in out.getvalue()


def test_terminal_when_it_lacks_a_sign_then_the_list_is_still_written(fleet: Roofs) -> None:
    fleet.bakery.site.name = "Señora Ω"
    fleet.bakery.site.save()
    assert any("Se?ora ?" in line for line in shown(Plain()))


def test_terminal_when_there_is_more_then_says_so(fleet: Roofs) -> None:
    assert shown(io.StringIO(), most=1)[-1].endswith("Shown here: the first 1.")
