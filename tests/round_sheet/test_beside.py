"""Fans of one roof told beside each other: shared limits once, nothing left out."""

from __future__ import annotations

from schedules.round_sheet.beside import look_lines, reading_tables
from schedules.round_sheet.fan_words import FanSheet, ReadingLine


def fan(number: int, *, amps: str = "up to 5 A", look_at: tuple[str, ...] = ("wheel",)) -> FanSheet:
    return FanSheet(
        pk=number, tag=f"EF-{number}", place="", machine="", stops=[], made_safe="", due=[],
        past=[], readings=[ReadingLine("Grease", "below 2000 µm", [], f"{number} µm", False)],
        live=[ReadingLine("Current", amps, ["full load"], "", True)], left_to_others="",
        look_at=list(look_at),
    )  # fmt: skip


def test_limits_when_shared_then_once_and_when_not_then_next_to_each_other() -> None:
    [table] = reading_tables([fan(1), fan(2, amps="up to 3 A"), fan(3)])
    assert [(row.limits, row.cells) for row in (*table.rows, *table.live)] == [
        ("below 2000 µm", [("EF-1", "1 µm"), ("EF-2", "2 µm"), ("EF-3", "3 µm")]),
        ("up to 5 A", [("EF-1", ""), ("EF-2", None), ("EF-3", "")]),
        ("up to 3 A", [("EF-1", None), ("EF-2", ""), ("EF-3", None)]),
    ]


def test_fans_when_too_many_for_a_table_then_tables_alike_in_width() -> None:
    tables = reading_tables([fan(number) for number in range(8)])
    assert [len(table.tags) for table in tables] == [4, 4]


def test_looks_when_asked_alike_then_told_together() -> None:
    lines = look_lines([fan(1), fan(2, look_at=("curb",)), fan(3), fan(4, look_at=())])
    assert [(line.tags, line.entries) for line in lines] == [
        (["EF-1", "EF-3"], ("wheel",)), (["EF-2"], ("curb",)),
    ]  # fmt: skip
