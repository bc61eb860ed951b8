"""Parts of a belt told of fans that have none by the register: kept, cautioned, never refused."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import translation
from pytest_django import DjangoAssertNumQueries

from fleet.failure_terms import BELT_CAUSES
from fleet.models import Machine
from schedules.engine.causes.table import default_table
from tests.visits.roofs import NOW, check, log, make_roof, visit
from tests.visits.test_import_visits import load
from visits.models import Finding
from visits.services import record_visit
from visits.services.cautions import Caution
from visits.services.recalling import recall_visit
from visits.wording import caution_words

pytestmark = pytest.mark.django_db
BELT = {"fan": "EF-1", "item": "belt", "severity": "degraded"}


@pytest.fixture(autouse=True)
def roof(db: None) -> None:
    """Two fans driven directly, as the register has them."""
    make_roof()


def told(**parts: Any) -> list[tuple[tuple[str, str], ...]]:
    """What the caution quotes, at once and when the visit is sent again."""
    recorded = log(**parts)
    cautions = [each for each in recorded.cautions if each.code == "part_not_on_machine"]
    again = recall_visit(recorded.visit).cautions
    assert [each for each in again if each.code == "part_not_on_machine"] == cautions
    return [each.sent for each in cautions]


@pytest.mark.parametrize(
    ("parts", "field", "name"),
    [
        ({"findings": [BELT]}, "item", "belt"),
        ({"findings": [BELT | {"item": "sheaves"}]}, "item", "sheaves"),
        ({"findings": [{"fan": "EF-1", "subject": "belt_deflection", "severity": "degraded"}]},
         "item", "belt"),
        ({"findings": [{"fan": "EF-1", "item": "bearings", "severity": "degraded",
                        "cause": "Belt too tight"}]}, "cause", "Belt too tight"),
        ({"actions": [{"fan": "EF-1", "kind": "replaced", "item": "belt"}]}, "item", "belt"),
        ({"recommendations": [{"fan": "EF-1", "subject": "sheaves", "text": "New ones."}]},
         "subject", "sheaves"),
        ({"not_reached": [{"fan": "EF-1", "item": "belt", "reason": "no_time"}]}, "item", "belt"),
        ({"checks": [check(seen={"belt": "missing"})]}, "reading", "belt"),
        ({"checks": [check(readings={"belt_deflection": "9 mm"})]},
         "reading", "belt_deflection_mm"),
    ],
)  # fmt: skip
def test_belt_told_of_a_fan_driven_directly_then_kept_and_cautioned(
    parts: dict[str, Any], field: str, name: str
) -> None:
    checks = parts.pop("checks", [])
    recorded = log(*checks, **parts)
    expected = Caution("part_not_on_machine", (("fan", "EF-1"), (field, name)))
    assert expected in recorded.cautions
    assert expected in recall_visit(recorded.visit).cautions


# A motor on its own shaft has bearings, and a wheel, too.
@pytest.mark.parametrize("item", ["bearings", "shaft", "wheel", "drive", "motor"])
def test_item_that_a_direct_drive_has_too_then_no_caution(item: str) -> None:
    assert told(findings=[BELT | {"item": item, "cause": "wear"}]) == []


def belt_driven() -> None:
    Machine.objects.update(drive="belt")


def drive_unreadable() -> None:
    Machine.objects.update(unreadable=["drive"])


def no_machine() -> None:
    Machine.objects.all().delete()


def not_there_yet() -> None:
    Machine.objects.update(installed_on=dt.date(2026, 3, 20))


@pytest.mark.parametrize("how", [belt_driven, drive_unreadable, no_machine, not_there_yet])
def test_fan_with_a_belt_or_of_which_nobody_knows_then_no_caution(how: Any) -> None:
    how()
    assert told(findings=[BELT]) == []


@pytest.mark.parametrize(("old", "new"), [("belt", "direct"), ("direct", "belt")])
def test_machine_replaced_that_day_and_one_of_both_has_a_belt_then_no_caution(
    old: str, new: str
) -> None:
    Machine.objects.update(drive=old)
    swap = {"fan": "EF-1", "kind": "replaced", "item": "machine", "machine": {"drive": new}}
    assert told(kind="replacement", findings=[BELT], actions=[swap]) == []


def test_two_fans_and_one_has_a_belt_then_only_the_other_is_named() -> None:
    Machine.objects.filter(fan__tag="EF-1").update(drive="belt")
    both = [BELT, BELT | {"fan": "EF-2"}, BELT | {"fan": "EF-2", "item": "sheaves"}]
    assert told(findings=both) == [(("fan", "EF-2"), ("item", "belt"), ("item", "sheaves"))]


def test_register_corrected_since_then_the_visit_sent_again_is_told_nothing() -> None:
    recorded = log(findings=[BELT])
    belt_driven()
    assert recall_visit(recorded.visit).cautions == ()


def test_caution_then_asked_nothing_more_on_recording(
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    count = len(_asked(visit(findings=[BELT | {"item": "motor"}])))
    with django_assert_num_queries(count):
        record_visit(payload=visit(findings=[BELT]), by=None, now=NOW)


def _asked(payload: dict[str, Any]) -> Any:
    with CaptureQueriesContext(connection) as queries:
        record_visit(payload=payload, by=None, now=NOW)
    return queries


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", "The register says that this fan is driven directly, without a belt, and this"),
        ("es", "El registro dice que este extractor es de accionamiento directo, sin banda"),
    ],
)
def test_caution_then_in_words_with_what_was_sent(language: str, said: str) -> None:
    (caution,) = log(findings=[BELT]).cautions
    with translation.override(language):
        words = caution_words(*caution)
    assert words.startswith(said)
    assert "“EF-1”" in words


@pytest.mark.parametrize("dry_run", [False, True])
def test_file_then_a_note_with_its_line_and_all_is_stored(dry_run: bool) -> None:
    report = load(visit(), visit(findings=[BELT]), dry_run=dry_run)
    (note,) = [each for each in report.notes if "belt" in each]
    assert note.startswith("line 2 (fan 'EF-1', item 'belt'): the register says that this fan is")
    assert Finding.objects.count() == (not dry_run)


def test_causes_of_a_belt_then_those_that_the_table_of_causes_asks_a_belt_for() -> None:
    needing = {
        each.cause
        for rows in default_table().candidates.values()
        for each in rows
        if "belt" in each.needs
    }
    # a belt wears and takes grease, as a direct drive's parts do
    assert needing - {"wear", "grease_coating"} == BELT_CAUSES
