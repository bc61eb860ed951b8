"""Records written out: read again they are the same, corrections and answers among them."""

from __future__ import annotations

import datetime as dt
import json
from io import StringIO
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from django.core.management import CommandError, call_command

from fleet.models import Machine, Person, Site
from tests.visits.roofs import NOW, PLACE, check, correct, log, make_roof
from tests.visits.test_rewritten import PARTS, content_of
from visits.exports import written_records
from visits.imports.json_lines import read_json_lines
from visits.models import Closing, Decision, Event, Visit
from visits.services import close_finding, record_decision, record_event
from visits.services.imports import import_visits

pytestmark = pytest.mark.django_db
CLEANED = {
    "kind": "hood_cleaning", **PLACE, "started": "2026-02-03T22:00", "ended": "2026-02-04T03:30",
    "crew": "Night crew", "tipped": ["EF-1"], "places_cleaned": ["hood"],
    "places_not_cleaned": ["duct"], "wheel_cleaned": True, "note": "Loud",
}  # fmt: skip


def written() -> list[dict[str, Any]]:
    return list(written_records(Site.objects.select_related("owner")))


def read_again(records: list[dict[str, Any]]) -> None:
    """Have the same install forget its record and read the file."""
    Decision.objects.all().delete()
    Visit.objects.update(supersedes=None)
    Visit.objects.all().delete()
    Event.objects.all().delete()
    data = "\n".join(map(json.dumps, records)).encode()
    report = import_visits(file=read_json_lines(data), name="f", by=None, now=NOW)
    assert list(report.complaints) == []


def columns_of(row: Any, *but: str) -> dict[str, Any]:
    apart = {"_state", "recorded_by_id", "received_at", "payload_sha256", *but}
    return {name: value for name, value in vars(row).items() if name not in apart}


@pytest.fixture(autouse=True)
def roof() -> Site:
    """Every test has its roof."""
    return make_roof()


def test_visit_with_all_there_is_then_the_same_again() -> None:
    # what was read of a plate stands in the register already when the file comes
    parts = {name: part for name, part in PARTS.items() if name != "plates"}
    told = log(check(), kind="code_inspection", technician="A. Stranger", **parts).visit
    before = content_of(Visit.objects.get())
    read_again(written())
    again = Visit.objects.get()
    assert (content_of(again), again.pk, again.technician_name) == (before, told.pk, "A. Stranger")


def test_technician_then_named_by_login() -> None:
    Person.objects.create_user("dana", role=Person.Role.TECHNICIAN)
    log(check(), technician="dana")
    assert [each["technician"] for each in written()] == ["dana"]


@pytest.mark.parametrize("qualified", [True, False])
def test_inspection_then_qualified_as_recorded(qualified: bool) -> None:
    row = log(kind="code_inspection", inspections=[{"system": "Main line"}]).visit
    row.inspections.update(qualified=qualified)
    read_again(written())
    assert Visit.objects.get().inspections.get().qualified == qualified


def test_correction_then_what_it_says_alone() -> None:
    old = log(check(notes="Wrong fan"))
    new = correct(old, check("EF-2", notes="Right fan"))
    told = written()
    assert [each["id"] for each in told] == [str(new.visit.pk)]
    assert "supersedes" not in told[0]


def test_machine_replaced_then_its_plate_goes_along() -> None:
    swap = {"fan": "EF-1", "kind": "replaced", "item": "machine",
            "machine": {"volts": "208-230/460", "power_hp": 1.5,
                        "unreadable": ["frame"]}}  # fmt: skip
    log(kind="replacement", actions=[swap])
    told = written()
    Machine.objects.filter(installed_on=dt.date(2026, 3, 2)).delete()
    Machine.objects.update(removed_on=None)
    read_again(told)
    new = Machine.objects.get(installed_on=dt.date(2026, 3, 2))
    assert (new.volts, new.power_hp, new.unreadable) == ("208-230/460", 1.5, ["frame"])


@pytest.mark.parametrize("more", [{}, {"started": "2026-02-03", "ended": "2026-02-04"}])
def test_event_then_the_same_again(more: dict[str, str]) -> None:
    record_event(payload={"id": str(uuid4()), **CLEANED, **more}, by=None, now=NOW)
    before = columns_of(Event.objects.get())
    read_again(written())
    again = Event.objects.get()
    assert columns_of(again) == before
    assert [fan.tag for fan in again.tipped_fans.all()] == ["EF-1"]


def test_answer_between_visits_then_the_same_again() -> None:
    advice = str(uuid4())
    log(recommendations=[{"id": advice, "fan": "EF-1", "subject": "hinge", "text": "New pins."}])
    told = {"recommendation": advice, "answer": "declined", "on": "2026-03-05", "note": "Later"}
    record_decision(payload={"id": str(uuid4()), **told}, by=None, now=NOW)
    before = columns_of(Decision.objects.get())
    read_again(written())
    assert columns_of(Decision.objects.get()) == before


def test_answer_to_advice_that_a_correction_left_out_then_kept_by_its_subject() -> None:
    advice = str(uuid4())
    old = log(recommendations=[
        {"id": advice, "fan": "EF-1", "subject": "hinge", "text": "New pins."},
    ])  # fmt: skip
    told = {"recommendation": advice, "answer": "declined", "on": "2026-03-05"}
    record_decision(payload={"id": str(uuid4()), **told}, by=None, now=NOW)
    correct(old, check())
    read_again(written())
    kept = Decision.objects.get()
    assert (kept.fan.tag, kept.subject, kept.answer) == ("EF-1", "hinge", "declined")


def test_answer_on_a_visit_to_advice_that_a_correction_left_out_then_kept_by_its_subject() -> None:
    advice = str(uuid4())
    old = log(recommendations=[
        {"id": advice, "fan": "EF-1", "subject": "hinge", "text": "New pins."},
    ])  # fmt: skip
    answer = {"recommendation": advice, "answer": "declined", "on": "2026-03-05"}
    log(on="2026-03-05T08:00", decisions=[answer])
    correct(old, check())
    read_again(written())
    kept = Decision.objects.get()
    assert (kept.fan.tag, kept.subject, kept.answer) == ("EF-1", "hinge", "declined")


def test_link_asked_for_then_not_asked_again() -> None:
    advice = {"id": str(uuid4()), "fan": "EF-1", "subject": "hinge", "text": "New pins."}
    log(check(), recommendations=[advice], decisions=[
        {"recommendation": advice["id"], "answer": "by_link", "on": "2026-03-02"},
    ])  # fmt: skip
    told = written()[0]
    assert "decisions" not in told
    assert "decision" not in told["recommendations"][0]


def test_finding_closed_then_closed_again() -> None:
    finding = str(uuid4())
    log(findings=[{"id": finding, "fan": "EF-1", "item": "belt", "severity": "degraded"}])
    told = {"finding": finding, "closed_on": "2026-03-09", "reason": "Never a belt here"}
    close_finding(payload={"id": str(uuid4()), **told}, by=None, now=NOW)
    before = columns_of(Closing.objects.get())
    read_again(written())
    assert columns_of(Closing.objects.get()) == before


def counted(text: str) -> dict[str, int]:
    return dict(json.loads(text))


def test_command_when_a_file_is_named_then_told_how_much(tmp_path: Path) -> None:
    log(check())
    said, file = StringIO(), tmp_path / "history.jsonl"
    call_command("export_history", str(file), json=True, stdout=said)
    assert counted(said.getvalue()) == {"visit": 1}
    assert len(file.read_text().splitlines()) == 1


def test_command_when_of_one_owner_then_nobody_elses(tmp_path: Path) -> None:
    make_roof("Birch Foods", "Low Road")
    log(check(notes="ours"))
    log(check(notes="theirs"), owner="Birch Foods", site="Low Road")
    file = tmp_path / "theirs.jsonl"
    call_command("export_history", str(file), owner="birch foods", stdout=StringIO())
    assert [json.loads(line)["owner"] for line in file.read_text().splitlines()] == ["Birch Foods"]


@pytest.mark.parametrize(
    ("asked", "said"),
    [({"owner": "Nobody"}, "no owner 'Nobody'"),
     ({"owner": "Alder Kitchens", "site": "X"}, "no site 'X' of owner 'Alder Kitchens'")],
)  # fmt: skip
def test_command_when_nobody_is_called_so_then_said(asked: dict[str, str], said: str) -> None:
    with pytest.raises(CommandError, match=said):
        call_command("export_history", "-", **asked)
