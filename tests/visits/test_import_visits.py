"""Files of old records: all or nothing, told with lines, repeated without effect."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from fleet.models import Machine, Person
from fleet.services.imports import import_fleet, read_fleet
from tests.visits.roofs import NOW, PLACE, check, make_roof, visit
from visits.imports.report import VisitImportReport
from visits.models import Check, Event, SystemInspection, Visit
from visits.services.imports import import_visits, read_visits

pytestmark = pytest.mark.django_db


def load(*records: Any, **options: Any) -> VisitImportReport:
    """Import records as JSON lines; texts go in as they are."""
    lines = [line if isinstance(line, str) else json.dumps(line) for line in records]
    file = read_visits("\n".join(lines).encode())
    return import_visits(file=file, name="old.jsonl", by=None, now=NOW, **options)


def old(**parts: Any) -> dict[str, Any]:
    """A visit from a notebook, without an id."""
    return {"kind": "walk_through", **PLACE, "began_at": "2024-05-02", **parts}


def test_examples_when_imported_then_stored_and_the_second_time_nothing_changes(
    root: Path,
) -> None:
    examples = root / "fixtures/examples"
    later = NOW.replace(year=2027)
    fleet = (examples / "fleet.csv").read_bytes()
    file = read_fleet(data=fleet, now=later)
    import_fleet(file=file, name="fleet.csv", by=None, now=later)
    counts = []
    for name in ("visits.jsonl", "readings.csv") * 2:
        data = (examples / name).read_bytes()
        report = import_visits(file=read_visits(data), name=name, by=None, now=later)
        counts.append((dict(report.added), report.repeated, report.complaints))
    assert counts == [
        ({"visit": 6, "event": 2, "decision": 1, "closing": 1}, 0, ()),
        ({"visit": 2}, 0, ()),
        ({}, 10, ()),
        ({}, 2, ()),
    ]


def test_file_when_several_lines_are_wrong_then_all_are_told_and_nothing_is_stored() -> None:
    make_roof()
    report = load(visit(check()), "{", "", old(kind="walk"), old(checks=[{"fan": "EF-9"}]))
    assert ([(c.line, c.complaint.pointer) for c in report.complaints], Visit.objects.count()) == (
        [(2, ""), (4, "/kind"), (5, "/checks/0/fan")], 0,
    )  # fmt: skip


WRONG_THROUGHOUT = old(
    kind="walk",
    began_at="yesterday",
    checks=[{"fan": "EF-9", "readings": {"volts_ab": "many"}}, {"fan": ""}],
    findings=[{"id": "0f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0f01", "fan": "EF-1", "item": "belt"}],
    actions=[{"fan": "EF-1", "kind": "replaced", "item": "machine", "machine": {}}],
    inspections=[{"system": "Nowhere"}],
)


def test_record_when_values_and_names_are_wrong_then_both_are_told_at_once() -> None:
    make_roof()
    report = load(WRONG_THROUGHOUT)
    assert sorted(said.complaint.pointer for said in report.complaints) == [
        "/began_at", "/checks/0/fan", "/checks/0/readings/volts_ab", "/checks/1/fan",
        "/findings/0/severity", "/inspections/0/system", "/kind",
    ]  # fmt: skip


def test_record_when_another_names_an_unknown_site_then_its_fans_are_still_found() -> None:
    make_roof()
    report = load(old(site="Nowhere"), old(checks=[check()]))
    assert [(c.line, c.complaint.pointer) for c in report.complaints] == [(1, "/site")]


def test_closing_when_its_finding_stands_in_a_wrong_record_then_only_that_record_is_told() -> None:
    make_roof()
    finding = WRONG_THROUGHOUT["findings"][0]["id"]
    closing = {"type": "closing", "finding": finding, "closed_on": "2026-03-09", "reason": "sound"}
    assert {said.line for said in load(WRONG_THROUGHOUT, closing).complaints} == {1}


@pytest.mark.parametrize("place", [{"owner": ""}, {"site": " "}, {"site_id": -1}])
def test_record_when_its_place_is_not_readable_then_told_once(place: dict[str, Any]) -> None:
    make_roof()
    report = load(old(**place))
    assert [said.complaint.pointer for said in report.complaints] == [f"/{next(iter(place))}"]


def test_dry_run_when_right_then_the_same_report_and_nothing_stored() -> None:
    make_roof()
    records = [old(checks=[check(seen={"vibration_felt": "slight"})])]
    trial = load(*records, dry_run=True)
    assert (Visit.objects.count(), dict(trial.added)) == (0, dict(load(*records).added))


def test_imported_visits_when_not_said_otherwise_then_from_before() -> None:
    make_roof()
    load(visit())
    load(visit(), here=True)
    assert sorted(Visit.objects.values_list("here", flat=True)) == [False, True]


def test_record_when_twice_in_a_file_then_stored_once() -> None:
    make_roof()
    report = load(old(), old())
    assert (dict(report.added), report.repeated) == ({"visit": 1}, 1)


def test_id_when_twice_with_other_content_then_told_at_its_line() -> None:
    make_roof()
    first = visit()
    report = load(first, {**first, "notes": "x"})
    assert [(c.complaint.pointer, report.refused) for c in report.complaints] == [("/id", True)]


def test_correction_when_before_what_it_corrects_in_the_file_then_taken() -> None:
    make_roof()
    first = visit(check())
    second = visit(supersedes=first["id"], correction_reason="typo")
    third = visit(supersedes=second["id"], correction_reason="typo again")
    load(third, second, first)
    assert [str(v.pk) for v in Visit.objects.standing()] == [third["id"]]


def test_answer_and_closing_when_of_the_same_file_then_find_what_they_answer() -> None:
    make_roof()
    finding = {"id": "0f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0f01", "fan": "EF-1", "item": "belt"}
    closing = {"type": "closing", "finding": finding["id"], "closed_on": "2026-03-09"}
    report = load(
        {**closing, "reason": "seen sound"}, visit(findings=[{**finding, "severity": "degraded"}])
    )
    assert dict(report.added) == {"visit": 1, "closing": 1}


def test_swaps_when_out_of_order_in_a_file_then_each_check_saw_its_machine() -> None:
    make_roof()
    machine = {"fan": "EF-1", "kind": "replaced", "item": "machine"}
    load(
        old(began_at="2024-09-01", checks=[check()]),
        old(began_at="2024-06-01", actions=[{**machine, "machine": {"serial": "B"}}]),
        old(began_at="2024-03-01", actions=[{**machine, "machine": {"serial": "A"}}]),
        old(began_at="2024-04-01", checks=[check()]),
    )
    seen = Check.objects.order_by("began_at").values_list("machine__serial", flat=True)
    assert (list(seen), Machine.objects.filter(fan__tag="EF-1").count()) == (["A", "B"], 3)


def test_swap_when_another_line_is_wrong_then_the_register_keeps_its_machine() -> None:
    make_roof()
    swap = {"fan": "EF-1", "kind": "replaced", "item": "machine", "machine": {"serial": "A"}}
    load(old(actions=[swap]), old(checks=[{"fan": "EF-9"}]))
    assert Machine.objects.filter(fan__tag="EF-1").count() == 1


def test_inspector_when_an_old_record_says_qualified_then_it_counts() -> None:
    make_roof()
    load(old(kind="code_inspection", inspector_qualified=True, inspections=[{}]))
    assert SystemInspection.objects.get().qualified


@pytest.mark.parametrize(
    "data", [b"", b"\n\n", b"\x00\xff\xfe", b'{"kind": "\xff"}', b"PK\x03\x04junk", b"%PDF-1.7"]
)
def test_file_when_no_records_can_be_in_it_then_one_complaint(data: bytes) -> None:
    report = import_visits(file=read_visits(data), name="x", by=None, now=NOW)
    assert (report.complaint_count, report.added) == (1, {})


def test_event_when_imported_without_an_id_then_the_second_time_known() -> None:
    make_roof()
    storm = {"type": "event", "kind": "storm", **PLACE, "started": "2025-03-19"}
    load(storm)
    load(storm)
    assert Event.objects.count() == 1


def test_technician_when_two_people_share_the_name_then_kept_as_written() -> None:
    make_roof()
    for login in ("theo1", "theo2"):
        Person.objects.create(username=login, first_name="Theo", last_name="Marsh")
    load(old(technician="Theo Marsh"))
    assert Visit.objects.values_list("technician", "technician_name").get() == (None, "Theo Marsh")


def edited() -> list[dict[str, Any]]:
    """A visit without an id, and the same with a word changed."""
    first = old(began_at="2024-05-02T09:10", technician="Theo", checks=[check()])
    return [first, first | {"notes": "the belt was new"}]


def test_line_when_edited_without_an_id_then_noted_with_what_a_correction_says() -> None:
    make_roof()
    first, second = edited()
    load(first)
    (stored,) = Visit.objects.values_list("pk", flat=True)
    (note,) = load(second, dry_run=True).notes
    assert note.startswith("line 1: Quay Street, 2024-05-02 09:10: another visit of this kind")
    assert f'"supersedes": "{stored}"' in note


def test_lines_when_one_file_tells_a_visit_twice_then_the_later_is_noted() -> None:
    make_roof()
    (note,) = load(*edited()).notes
    assert note.startswith("line 2:")


def test_line_when_it_supersedes_then_no_note() -> None:
    make_roof()
    first, second = edited()
    load(first)
    stored = str(Visit.objects.get().pk)
    assert load(second | {"supersedes": stored, "correction_reason": "belt"}).notes == ()


@pytest.mark.parametrize(
    "other", [{"technician": "Ruta"}, {"kind": "maintenance"}, {"began_at": "2024-05-02T09:11"}]
)
def test_line_when_person_kind_or_minute_differ_then_no_note(other: dict[str, Any]) -> None:
    make_roof()
    first, second = edited()
    assert load(first, second | other).notes == ()


def test_fleet_file_when_taken_for_visits_then_said_in_one_sentence(root: Path) -> None:
    data = (root / "fixtures/examples/fleet.csv").read_bytes()
    (said,) = import_visits(file=read_visits(data), name="fleet.csv", by=None, now=NOW).complaints
    assert "this looks like a list of fans" in str(said)


def test_visits_when_taken_for_a_fleet_file_then_said_in_one_sentence(root: Path) -> None:
    data = (root / "fixtures/examples/visits.jsonl").read_bytes()
    (said,) = import_fleet(
        file=read_fleet(data=data, now=NOW), name="visits.jsonl", by=None, now=NOW
    ).complaints
    assert said.code == "looks_like_records"


@pytest.mark.parametrize(
    ("record", "told"),
    [
        ({"inspections": [{"system": "Mein line"}]}, "did you mean Main line?"),
        ({"checks": [{"fan": "EF-1", "lasting": ["vlots"]}]}, "lasting is not known"),
        ({"kind": ""}, "/kind: kind is missing; it cannot be left out"),
    ],
)
def test_record_when_a_name_is_wrong_then_told_in_its_own_words(
    record: dict[str, Any], told: str
) -> None:
    make_roof()
    (said,) = load(old(**record)).complaints
    assert told in str(said)
