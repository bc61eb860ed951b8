"""The register edited and the record written at the same moment: nobody is sent away for it."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from fleet.models import Agreement, Machine, Person
from tests.api.asking import V1, at_once
from tests.api.logs import EVENTS, VISITS, cleaning, walk
from tests.people import Roofs

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]


def test_edits_of_a_site_when_visits_come_in_at_once_then_all_are_taken(
    roofs: Roofs, mara: Person
) -> None:
    fan = roofs.bakery
    codes = []
    for number in range(12):
        hours = {"hours": f"Mon-Sun {8 + number % 4:02}:00-22:00"}
        surroundings = {"surroundings": ("inland", "coastal")[number % 2]}
        visit = walk(fan, f"2026-03-{1 + number:02}T09:10")
        event = cleaning(fan, f"2026-03-{1 + number:02}T23:00")
        machine = {"installed_on": f"2026-02-{1 + number:02}"}
        sends: list[Any] = [
            lambda phone, sent=visit: phone.post(VISITS, sent),
            lambda phone, sent=event: phone.post(EVENTS, sent),
            lambda desk, sent=machine: desk.post(f"{V1}/fans/{fan.pk}/machines", sent),
            lambda desk, sent=surroundings: desk.patch(
                f"{V1}/sites/{fan.site_id}", sent, headers={"If-Match": "*"}
            ),
            lambda desk, sent=hours: desk.put(
                f"{V1}/systems/{fan.system_id}/hours/2026-12-01", sent, headers={"If-Match": "*"}
            ),
        ]
        codes += [answer.status_code for answer in at_once(mara, sends)]
    assert {code for code in codes if code not in (200, 201)} == set()


def entered_once(answers: list[Any]) -> tuple[list[int], set[str]]:
    """How often something was entered and refused, and with which words."""
    refused = [answer.json() for answer in answers if answer.status_code != 201]
    problems = {fault["problem"] for told in refused for fault in told["errors"]}
    return sorted(answer.status_code for answer in answers), problems


def test_agreement_when_entered_by_four_at_once_then_one_is_kept_and_three_are_told(
    roofs: Roofs, mara: Person
) -> None:
    terms = {"owner": roofs.bakery.site.owner_id, "starts_on": "2026-03-01"}
    answers = at_once(
        mara,
        [
            lambda desk, count=count: desk.post(
                f"{V1}/agreements", {**terms, "visits_per_year": count}
            )
            for count in range(6, 10)
        ],
    )
    assert entered_once(answers) == (
        [201, 400, 400, 400], {"an agreement from this day is on record"},
    )  # fmt: skip
    taken = next(answer.json() for answer in answers if answer.status_code == 201)
    assert taken["visits_per_year"] == Agreement.objects.get().visits_per_year


def test_machine_when_entered_by_four_at_once_then_one_is_kept_and_three_are_told(
    roofs: Roofs, mara: Person
) -> None:
    address = f"{V1}/fans/{roofs.bakery.pk}/machines"
    answers = at_once(
        mara,
        [
            lambda desk, serial=serial: desk.post(
                address, {"installed_on": "2026-03-01", "serial": serial}
            )
            for serial in ("A-1", "B-2", "C-3", "D-4")
        ],
    )
    assert entered_once(answers) == (
        [201, 400, 400, 400], {"a machine installed on this day is on record here"},
    )  # fmt: skip
    taken = next(answer.json() for answer in answers if answer.status_code == 201)
    assert taken["serial"] == Machine.objects.get(fan=roofs.bakery, removed_on=None).serial


def test_machines_of_two_days_when_entered_at_once_then_both_are_kept(
    roofs: Roofs, mara: Person
) -> None:
    address = f"{V1}/fans/{roofs.bakery.pk}/machines"
    days = [f"2026-03-0{day}" for day in range(1, 5)]
    answers = at_once(
        mara, [lambda desk, day=day: desk.post(address, {"installed_on": day}) for day in days]
    )
    assert [answer.status_code for answer in answers] == [201] * 4
    told = Machine.objects.filter(fan=roofs.bakery).values_list("installed_on", "removed_on")
    stood = [tuple(str(day) for day in pair) for pair in told]
    assert [began for began, _ in stood[1:]] == [ended for _, ended in stood[:-1]]
    assert [began for began, _ in stood[-4:]] == days


def test_machine_when_entered_while_a_visit_tells_of_another_then_both_are_kept(
    roofs: Roofs, mara: Person
) -> None:
    fan = roofs.bakery
    swap = {"fan": fan.tag, "kind": "replaced", "item": "machine", "machine": {"serial": "V"}}
    visit = walk(fan, "2026-03-10T09:10", actions=[swap])
    entered = {"installed_on": "2026-03-05", "serial": "E"}
    answers = at_once(
        mara,
        [
            lambda phone: phone.post(VISITS, visit),
            lambda desk: desk.post(f"{V1}/fans/{fan.pk}/machines", entered),
        ],
    )
    told = Machine.objects.filter(fan=fan).values_list("serial", "removed_on")
    assert ([answer.status_code for answer in answers], list(told)) == (
        [201, 201], [("", date(2026, 3, 5)), ("E", date(2026, 3, 10)), ("V", None)],
    )  # fmt: skip
