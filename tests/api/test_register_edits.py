"""Edits that lose nobody else's: two dispatchers at one row, and who is second with a name."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any

import pytest
from django.db import connection

from fleet.models import Owner, Person
from tests.api.asking import V1, by_key
from tests.api.register import LISTS, Addresses, lay_register
from tests.people import Roofs

pytestmark = pytest.mark.django_db
SENDERS = 4


@pytest.fixture
def own(roofs: Roofs) -> Addresses:
    return lay_register(roofs)[0]


@pytest.fixture
def dora(db: None) -> Person:
    """Dora, who dispatches beside Dana."""
    return Person.objects.create_user("dora", role=Person.Role.DISPATCHER)


def notes(name: str, text: str) -> dict[str, str]:
    """Something to write into any row."""
    noted = dict.fromkeys(("blockers", "contacts", "supplied"), "note")
    fields = {"sites": "access_notes", "machines": "model", **noted}
    return {fields.get(name, "notes"): text}


@pytest.mark.parametrize("name", LISTS)
def test_row_when_two_dispatchers_edit_what_both_have_read_then_the_second_hears_of_it(
    name: str, own: Addresses, dana: Person, dora: Person
) -> None:
    address, tag = getattr(own, name), by_key(dana).get(getattr(own, name))["ETag"]
    first = by_key(dana).patch(address, notes(name, "dana"), HTTP_IF_MATCH=tag)
    second = by_key(dora).patch(address, notes(name, "dora"), HTTP_IF_MATCH=tag)
    kept = by_key(dora).get(address).json()
    assert (first.status_code, second.status_code, notes(name, "dana").items() <= kept.items()) == (
        200, 412, True,
    )  # fmt: skip


@pytest.mark.parametrize("name", LISTS)
def test_row_when_edited_without_saying_what_was_read_then_428(
    name: str, own: Addresses, dana: Person
) -> None:
    answer = by_key(dana).patch(getattr(own, name), notes(name, "x"))
    assert (answer.status_code, answer.json()["code"]) == (428, "if_match_missing")


def test_row_when_edited_with_the_tag_of_the_edit_before_then_taken(
    own: Addresses, dana: Person
) -> None:
    asker, tag = by_key(dana), by_key(dana).get(own.sites)["ETag"]
    for text in ("one", "two"):
        answer = asker.patch(own.sites, {"access_notes": text}, HTTP_IF_MATCH=tag)
        tag = answer["ETag"]
    assert answer.json()["access_notes"] == "two"


def test_row_when_unchanged_since_it_was_read_then_304(own: Addresses, dana: Person) -> None:
    asker = by_key(dana)
    tag = asker.get(own.fans)["ETag"]
    told = (tag, f"W/{tag}", f'"other", {tag}', "*", f"x{tag}x", tag.strip('"'))
    answers = [asker.get(own.fans, HTTP_IF_NONE_MATCH=each).status_code for each in told]
    assert answers == [304, 304, 304, 304, 200, 200]


@pytest.mark.parametrize(
    ("about", "then"),
    [
        ("{}", 200),
        ('"other" , {}', 200),
        # compared strongly (RFC 9110, 13.1.1)
        ("W/{}", 412),
        ("junk{}junk", 412),
        ('"other"', 412),
    ],
)
def test_row_when_edited_with_a_tag_then_taken_only_if_it_is_the_very_one(
    own: Addresses, dana: Person, about: str, then: int
) -> None:
    asker = by_key(dana)
    told = about.format(asker.get(own.fans)["ETag"])
    assert asker.patch(own.fans, {"notes": "x"}, HTTP_IF_MATCH=told).status_code == then


def test_fan_when_its_machine_is_replaced_then_its_tag_is_another(
    own: Addresses, dana: Person
) -> None:
    asker = by_key(dana)
    before = asker.get(own.fans)["ETag"]
    asker.post(f"{own.fans}/machines", {"installed_on": "2026-02-01"})
    assert asker.get(own.fans)["ETag"] != before


def test_calendar_when_the_system_was_changed_meanwhile_then_the_second_hears_of_it(
    own: Addresses, dana: Person, dora: Person
) -> None:
    tag = by_key(dana).get(own.systems)["ETag"]
    told = [
        by_key(who).put(
            f"{own.systems}/cooking/2026-02-01", {"classes": [code]}, HTTP_IF_MATCH=tag
        ).status_code
        for who, code in ((dana, "high"), (dora, "low"))
    ]  # fmt: skip
    assert told == [200, 412]


def at_once(work: Callable[[int], Any]) -> list[Any]:
    """The same work begun by several senders at the same moment; what each was told."""
    together = Barrier(SENDERS)

    def send(number: int) -> Any:
        together.wait()
        try:
            return work(number)
        finally:
            connection.close()

    with ThreadPoolExecutor(SENDERS) as senders:
        return list(senders.map(send, range(SENDERS)))


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_row_when_edited_by_several_at_once_then_one_is_taken_and_the_others_hear_of_it(
    roofs: Roofs, dana: Person
) -> None:
    address = f"{V1}/sites/{roofs.bakery.site_id}"
    askers = [by_key(dana) for _ in range(SENDERS)]
    tag = askers[0].get(address)["ETag"]
    told = at_once(
        lambda n: askers[n].patch(address, {"access_notes": str(n)}, HTTP_IF_MATCH=tag).status_code
    )
    assert sorted(told) == [200, 412, 412, 412]


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_owner_when_entered_by_several_at_once_then_once_and_the_others_hear_of_it(
    dana: Person,
) -> None:
    askers = [by_key(dana) for _ in range(SENDERS)]
    told = at_once(lambda n: askers[n].post(f"{V1}/owners", {"name": "Elm House"}).status_code)
    assert (sorted(told), Owner.objects.count()) == ([201, 400, 400, 400], 1)
