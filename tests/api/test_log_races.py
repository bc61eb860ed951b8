"""Phones that send at the same moment, or break off and send again: nothing is doubled or lost."""

from __future__ import annotations

from typing import Any

import pytest

from fleet.models import Person
from schedules.due.reckoning import reckon_fleet
from schedules.models import DueState
from tests.api.asking import at_once
from tests.api.logs import BATCH, VISITS, corrected, look, walk
from tests.people import Roofs
from tests.visits.roofs import NOW
from visits.models import Check, Visit

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]


def visited() -> Any:
    """Due rows of the fans that anybody has looked at."""
    return DueState.objects.filter(fan__in=Check.objects.order_by().values("fan"))


def stored() -> list[tuple[Any, ...]]:
    """Their answers as they stand."""
    names = ("fan_id", "due_on", "due_rule", "overdue_after", "overdue_rule", "worst_verdict")
    return list(visited().order_by("fan_id").values_list(*names))


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
