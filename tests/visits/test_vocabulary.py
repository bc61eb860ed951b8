"""The listing of names: all that a record may use, and what stands in it is taken."""

from __future__ import annotations

import re

import pytest

from fleet.quantities import MEASURED, SEEN
from fleet.services.machines import PLATE_FIELDS
from tests.visits.roofs import check, visit
from visits.payload import VisitEntry, read_record
from visits.payload.names import GREASE, READINGS, SUBJECTS, short_name
from visits.payload.vocabulary import vocabulary_text

TEXT, _, PLATE = vocabulary_text().partition("Fields of a new machine")
LINES = dict(re.findall(r"^ {4}(\w+) +(\S.*(?:\n {9,}\S.*)*)", TEXT, re.MULTILINE))


@pytest.mark.parametrize("quantity", MEASURED, ids=lambda quantity: quantity.name)
def test_reading_then_listed_with_its_unit(quantity: object) -> None:
    name = short_name(quantity)  # type: ignore[arg-type]
    name = name if name in LINES else re.sub("_(low|high)$", "", name)
    assert LINES[name].startswith(quantity.unit)  # type: ignore[attr-defined]


@pytest.mark.parametrize("name", [n for n in LINES if n in READINGS or n in GREASE])
def test_reading_as_listed_then_taken(name: str) -> None:
    unit, low = re.match(r"(\S+?),?(?: \(or .*?\),)? (-?[\d,]+) to", LINES[name]).groups()  # type: ignore[union-attr]
    entry = read_record(visit(check(readings={name: f"{low} {unit}"})))
    assert isinstance(entry, VisitEntry)


@pytest.mark.parametrize("quantity", SEEN, ids=lambda quantity: quantity.name)
def test_seen_item_then_listed_with_its_states(quantity: object) -> None:
    told = re.findall(r"(\w+)(?: \(\w+\))?(?:,|$)", " ".join(LINES[quantity.name].split()))  # type: ignore[attr-defined]
    assert tuple(told) == quantity.state_codes  # type: ignore[attr-defined]


def test_subjects_then_all_listed() -> None:
    assert sorted(SUBJECTS - set(re.findall(r"\w+", TEXT))) == []


def test_plate_fields_then_listed_and_taken() -> None:
    fields = re.findall(r"^ {4}(\w+) ", PLATE, re.MULTILINE)
    assert set(fields) | {"unreadable"} == PLATE_FIELDS
