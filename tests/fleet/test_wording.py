"""Every code of an import has its sentence, and every sentence can be filled in."""

import re
from pathlib import Path

from fleet.imports.complaints import Complaint
from fleet.wording import COMPLAINTS, NOTES, complaint_sentence

RAISED = re.compile(
    r'(?:CellError|FileError|Complaint|Trap|_trap|(?:complaints|complaint)\.(?:add|note))\(\s*"(\w+)"'
    r'|(?:complain\([^()]*(?:\([^()]*\))?,|yield [^\n]*\),|later,|key,) "(\w+)"'
)


def codes_in(folder: Path) -> set[str]:
    found = (RAISED.findall(path.read_text()) for path in folder.rglob("*.py"))
    return {first or second for pairs in found for first, second in pairs}


def test_codes_of_imports_then_each_has_words(root: Path) -> None:
    raised = codes_in(root / "fleet/imports") | codes_in(root / "fleet/services")
    assert sorted(raised - set(COMPLAINTS) - set(NOTES)) == []


def test_words_then_each_belongs_to_a_code_in_use(root: Path) -> None:
    source = "".join(path.read_text() for path in (root / "fleet").rglob("*.py"))
    told = {code for code in COMPLAINTS if source.count(f'"{code}"') < 2}
    assert told == set()


def test_complaint_then_says_where_what_why_and_what_to_do() -> None:
    said = Complaint("unit_misfit", 7, "Power", "5 V", {"unit": "V", "units": "hp or kW"})
    assert complaint_sentence(said) == (
        "row 7, Power “5 V”: the unit V does not fit here; write it in hp or kW"
    )
