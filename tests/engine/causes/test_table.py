"""The table of causes: what it holds, and how it complains of what it cannot hold."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import schedules.engine.causes.table as home
from schedules.engine.causes import default_table, read_table
from schedules.engine.errors import ParameterError

HERE = Path(home.__file__).parent
EVIDENCE = (HERE / "evidence.toml").read_text("utf-8")
MECHANISMS = (HERE / "mechanisms.toml").read_text("utf-8")
CAUSES = (HERE / "causes.toml").read_text("utf-8")
ONE = """[[cause]]
items = ["switch"]
cause = "wear"
weight = 2
standing = "our choice"
evidence = { part_old = 0.7 }
"""


@pytest.mark.parametrize(
    ("row", "instead", "complaint"),
    [
        ('"wear"', '"gremlins"', "cause 1: cause is 'gremlins'; expected one of loose_connection"),
        ("weight = 2", "weight = 0", r"cause 1 (wear): weight is 0; expected a number in (0, 100]"),
        ("weight = 2", "", "cause 1 (wear): weight is None"),
        ('"our choice"', '"surely"', "standing is 'surely'; expected one of confirmed"),
        ("0.7", "1.0", "part_old is 1.0; expected a number in [0.01, 0.99]"),
        ("0.7", '"often"', "part_old is 'often'"),
        ("part_old", "full_moon", "evidence is 'full_moon'; expected one of"),
        ("{ part_old = 0.7 }", "{}", "name at least one piece"),
        ('["switch"]', "[]", "items is empty"),
        ('["switch"]', "3", "items is 3; expected a list of words"),
        ("weight = 2", 'weight = 2\nneeds = ["wings"]', "needs is 'wings'; expected one of belt"),
        ("weight = 2", 'weight = 2\nmodes = ["XXX"]', "modes is 'XXX'"),
        ("weight = 2", "weight = 2\nwieght = 3", "wieght means nothing here; known are items"),
        ("[[cause]]", "[[causes]]", "there is no [[cause]]"),
        ("weight = 2", "weight = ", "the table of causes is no TOML"),
    ],
)
def test_cause_when_wrong_then_says_where_what_and_what_is_expected(
    row: str, instead: str, complaint: str
) -> None:
    with pytest.raises(ParameterError, match=re.escape(complaint)):
        read_table(EVIDENCE, MECHANISMS, ONE.replace(row, instead))


@pytest.mark.parametrize(
    ("row", "instead", "complaint"),
    [
        ("shaking = { usual = 0.12", "shaking = { usual = 0", "shaking: usual is 0;"),
        ('look = "feel_vibration"', 'look = "listen"', "look is 'listen'; expected one of"),
        ('group = "weather"', 'group = ""', "storm: group is ''; expected a word"),
        ("storm = {", "storms = {", "evidence storm, storms is either not told by any record"),
        ("live = true", "live = 1", "live is 1; expected true or false"),
    ],
)  # fmt: skip
def test_evidence_when_wrong_then_says_where_what_and_what_is_expected(
    row: str, instead: str, complaint: str
) -> None:
    with pytest.raises(ParameterError, match=re.escape(complaint)):
        read_table(EVIDENCE.replace(row, instead, 1), MECHANISMS, CAUSES)


@pytest.mark.parametrize(
    ("row", "instead", "complaint"),
    [
        ('"burst", ', "", "mechanisms burst stand in no row"),
        ('"burst"', '"wear"', "mechanisms burst, wear stand in no row, in two"),
        ('"burst"', '"burst", "sorcery"', "mechanisms sorcery stand"),
        ("usual = 0.1\n", "", "mechanism loosened: usual is None; expected a number in"),
        ("{ vibration = 0.45,", "{ gremlins = 0.45,", "loosened: left_by is 'gremlins'"),
        ("vibration = 0.45", "vibration = 45", "loosened: vibration is 45; expected a number"),
        ("[mechanism.shaken]", "[mechanism.shaking]", "mechanism shaking is evidence of another"),
    ],
)
def test_mechanism_when_wrong_then_says_where_what_and_what_is_expected(
    row: str, instead: str, complaint: str
) -> None:
    with pytest.raises(ParameterError, match=re.escape(complaint)):
        read_table(EVIDENCE, MECHANISMS.replace(row, instead, 1), CAUSES)


def test_cause_when_told_twice_for_an_item_then_refused() -> None:
    with pytest.raises(ParameterError, match="'wear' stands twice for 'switch'"):
        read_table(EVIDENCE, MECHANISMS, ONE * 2)


def test_table_when_read_then_every_look_and_piece_is_of_use() -> None:
    """A piece that moves no cause would be asked of nobody and shown to nobody."""
    table = default_table()
    used = {code for each in table.candidates.values() for cause in each for code in cause.likely}
    assert set(table.evidence) - used == set()
    assert set(table.looks) == {piece.look for piece in table.evidence.values() if piece.look}
