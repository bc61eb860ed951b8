"""Who was there, what their inspections count for, and what a fan left badly is told with."""

from __future__ import annotations

from typing import Any

import pytest

from fleet.models import Person
from tests.api.asking import by_key
from tests.api.logs import VISITS, corrected, look, walk
from tests.people import Roofs
from visits.models import SystemInspection, Visit

pytestmark = pytest.mark.django_db


@pytest.fixture
def ines(db: None) -> Person:
    """Ines, a technician who may inspect."""
    return Person.objects.create_user("ines", qualified_code_inspection=True)


def inspection(roofs: Roofs, **parts: Any) -> dict[str, Any]:
    """A code inspection of the bakery's only system."""
    return walk(roofs.bakery, kind="code_inspection", inspections=[{}], **parts)


def codes(answer: Any) -> list[str]:
    return [each["code"] for each in answer.json()["cautions"]]


@pytest.mark.parametrize(
    ("who", "named", "counts", "told"),
    [
        ("ines", None, True, []),
        ("dana", "ines", True, []),
        ("theo", "ines", False, ["inspector_not_sender"]),
        ("theo", None, False, ["inspector_unqualified"]),
        ("dana", "theo", False, ["inspector_unqualified"]),
        ("dana", "Zed", False, ["technician_unknown", "inspector_unqualified"]),
    ],
)
def test_inspection_when_sent_then_counts_by_who_did_and_who_sends_it(
    who: str, named: str | None, counts: bool, told: list[str],
    roofs: Roofs, ines: Person, theo: Person, request: pytest.FixtureRequest,
) -> None:  # fmt: skip
    client = by_key(request.getfixturevalue(who))
    payload = inspection(roofs) | ({"technician": named} if named else {})
    answers = [client.post(VISITS, payload), client.post(VISITS, payload)]
    read = client.get(f"{VISITS}/{payload['id']}")
    assert (SystemInspection.objects.get().qualified, [*map(codes, answers)], codes(read)) == (
        counts, [told, told], told,
    )  # fmt: skip


def test_correction_when_it_names_no_technician_then_as_in_the_visit_it_replaces(
    roofs: Roofs, ines: Person, dana: Person
) -> None:
    payload = inspection(roofs)
    by_key(ines).post(VISITS, payload)
    answer = by_key(dana).post(VISITS, corrected(payload, notes="the hatch sticks"))
    last = Visit.objects.get(supersedes=payload["id"])
    assert (
        last.technician, last.recorded_by, last.inspections.get().qualified, codes(answer)
    ) == (ines, dana, True, [])  # fmt: skip


def test_correction_when_the_technician_was_nobody_on_record_then_the_name_is_kept(
    roofs: Roofs, dana: Person
) -> None:
    payload = walk(roofs.bakery, technician="summer help")
    by_key(dana).post(VISITS, payload)
    by_key(dana).post(VISITS, {k: v for k, v in corrected(payload).items() if k != "technician"})
    last = Visit.objects.get(supersedes=payload["id"])
    assert (last.technician_id, last.technician_name) == (None, "summer help")


@pytest.mark.parametrize(
    ("stage", "hinge", "told"),
    [
        ("as_left", "broken", ["left_at_stop"]), ("as_left", "none", ["left_at_act"]),
        ("as_left", "sound", []), ("as_found", "broken", []),
    ],
)  # fmt: skip
def test_fan_when_left_badly_then_the_answer_cautions(
    stage: str, hinge: str, told: list[str], roofs: Roofs, theo: Person
) -> None:
    payload = look(roofs.bakery, stage=stage, seen={"hinge": hinge})
    answers = [by_key(theo).post(VISITS, payload) for _ in range(2)]
    assert [*map(codes, answers)] == [told, told]


def test_fan_when_left_at_stop_then_told_to_make_it_safe_and_where_findings_go(
    roofs: Roofs, theo: Person
) -> None:
    payload = look(roofs.bakery, stage="as_left", seen={"hinge": "broken"})
    (caution,) = by_key(theo).post(VISITS, payload).json()["cautions"]
    words = caution["sentence"]
    assert ("Make it safe" in words, "as found" in words, "qualified people" in words) == (
        True, True, True,
    )  # fmt: skip
