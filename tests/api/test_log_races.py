"""Phones that send at the same moment, or break off and send again: nothing is doubled or lost."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest

from fleet.models import Person
from schedules.due.reckoning import reckon_fleet
from schedules.models import DueState
from tests.api.asking import V1, at_once, by_key
from tests.api.logs import BATCH, VISITS, corrected, look, walk
from tests.people import Roofs
from tests.visits.roofs import NOW
from visits.models import Check, Closing, Finding, Visit

CLOSINGS = f"{V1}/closings"
pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]


def visited() -> Any:
    """Due rows of the fans that anybody has looked at."""
    return DueState.objects.filter(fan__in=Check.objects.order_by().values("fan"))


def stored() -> list[tuple[Any, ...]]:
    """Their answers as they stand."""
    names = ("fan_id", "due_on", "due_rule", "overdue_after", "overdue_rule", "worst_verdict")
    return list(visited().order_by("fan_id").values_list(*names))


def found(roofs: Roofs, theo: Person) -> Finding:
    """A loose hinge at the bakery that somebody wrote down."""
    hinge = [{"fan": roofs.bakery.tag, "subject": "hinge", "severity": "degraded"}]
    by_key(theo).post(VISITS, walk(roofs.bakery, findings=hinge))
    return Finding.objects.get()


def close(finding: Finding) -> dict[str, Any]:
    """A closing of it under an id of its own."""
    closed = {"finding": str(finding.pk), "closed_on": "2026-03-05", "reason": "seen dry"}
    return {"id": str(uuid4()), **closed}


def assert_as_reckoned_anew() -> None:
    """Reckoning everything from the record changes no row, and no fan is behind."""
    before = stored()
    assert visited().stale().count() == 0
    reckon_fleet(now=NOW, only_stale=False, from_truth=True)
    assert stored() == before


def test_visit_when_sent_by_four_at_once_then_stored_once_and_all_hear_the_same(
    roofs: Roofs, theo: Person
) -> None:
    payload = look(roofs.bakery, seen={"wheel": "dented"})
    answers = at_once(theo, [lambda phone: phone.post(VISITS, payload)] * 4)
    told = {str({**each.json(), "created": None}) for each in answers}
    codes = sorted(each.status_code for each in answers)
    assert (codes, Visit.objects.count(), Check.objects.count(), len(told)) == (
        [200, 200, 200, 201], 1, 1, 1,
    )  # fmt: skip
    assert_as_reckoned_anew()


def test_visit_when_corrected_by_two_at_once_then_one_is_told_so(
    roofs: Roofs, theo: Person
) -> None:
    first = look(roofs.bakery, seen={"wheel": "dented"})
    at_once(theo, [lambda phone: phone.post(VISITS, first)])
    corrections = [corrected(first, notes=str(number)) for number in range(2)]
    answers = at_once(
        theo, [lambda phone, sent=each: phone.post(VISITS, sent) for each in corrections]
    )
    refused = next(each for each in answers if each.status_code == 400).json()["errors"]
    assert (sorted(each.status_code for each in answers), refused[0]["problem"]) == (
        [201, 400], "this visit is already corrected",
    )  # fmt: skip
    assert_as_reckoned_anew()


def test_queue_when_two_phones_send_it_at_once_in_two_orders_then_nothing_is_doubled(
    roofs: Roofs, theo: Person
) -> None:
    records = [
        walk(fan, f"2026-03-{day:02}T09:10")
        for fan in (roofs.bakery, roofs.canteen)
        for day in range(1, 7)
    ]
    both = (records, records[::-1])
    answers = at_once(
        theo, [lambda phone, sent=each: phone.post(BATCH, {"records": sent}) for each in both]
    )
    codes = [each["status"] for answer in answers for each in answer.json()["results"]]
    assert (codes.count(201), codes.count(200), Visit.objects.count()) == (12, 12, 12)
    assert_as_reckoned_anew()


def test_visits_of_one_roof_when_sent_at_once_then_every_date_is_of_all_of_them(
    roofs: Roofs, theo: Person
) -> None:
    visits = [walk(roofs.bakery, f"2026-03-{day:02}T09:10") for day in range(1, 5)]
    answers = at_once(theo, [lambda phone, sent=each: phone.post(VISITS, sent) for each in visits])
    assert [each.status_code for each in answers] == [201] * 4
    assert_as_reckoned_anew()


def test_finding_when_closed_by_four_at_once_then_closed_once_and_three_are_told(
    roofs: Roofs, theo: Person
) -> None:
    finding = found(roofs, theo)
    answers = at_once(
        theo,
        [
            lambda phone, sent=each: phone.post(CLOSINGS, sent)
            for each in [close(finding) for _ in range(4)]
        ],
    )
    problems = {each.json()["errors"][0]["problem"] for each in answers if each.status_code == 400}
    assert (sorted(each.status_code for each in answers), problems, Closing.objects.count()) == (
        [201, 400, 400, 400], {"it was closed already, on 2026-03-05 by theo"}, 1,
    )  # fmt: skip


def test_closing_when_sent_by_four_at_once_then_all_hear_that_it_is_stored(
    roofs: Roofs, theo: Person
) -> None:
    closing = close(found(roofs, theo))
    answers = at_once(theo, [lambda phone: phone.post(CLOSINGS, closing)] * 4)
    codes = sorted(each.status_code for each in answers)
    assert (codes, Closing.objects.count()) == ([200, 200, 200, 201], 1)
