"""Advice that the owner wants to answer by a link: one letter, now; who sent it hears to whom."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.utils import timezone

from fleet.models import Owner, Person
from schedules.models import Notice
from schedules.notices.writing import write_notices
from tests.api.asking import by_key, faults
from tests.api.test_log_others import DECISIONS, VISITS, look
from tests.people import Roofs

ADDRESS = "office@alder.example"


@pytest.fixture
def alder(roofs: Roofs) -> Owner:
    """The owner of the bakery's roof, who has an address."""
    owner = roofs.bakery.site.owner
    owner.email = ADDRESS
    owner.save()
    return owner


def advised(roofs: Roofs, answer: str = "by_link", **parts: Any) -> dict[str, Any]:
    """A visit of yesterday whose advice is answered so."""
    day = (timezone.now() - timedelta(days=1)).date().isoformat()
    advice = {
        "id": str(uuid4()), "fan": "EF-1", "subject": "curb", "text": "Refasten the curb.",
        "decision": {"answer": answer, "on": day},
    }  # fmt: skip
    visit = look(roofs.bakery, seen={"curb": "loose"})
    return {**visit, "began_at": f"{day}T09:10", "recommendations": [advice], **parts}


def test_visit_when_a_link_is_asked_for_then_one_letter_is_owed_and_its_answer_says_to_whom(
    roofs: Roofs, alder: Owner, theo: Person
) -> None:
    visit = advised(roofs)
    first, again = (by_key(theo).post(VISITS, visit) for _ in range(2))
    write_notices(now=timezone.now())
    (notice,) = Notice.objects.filter(kind="advice")
    assert (first.status_code, again.status_code, notice.address) == (201, 200, ADDRESS)
    told = {
        "state": "owed",
        "sentence": f"A letter with the link goes to {alder.name}, o…@alder.example, now.",
    }
    assert [each.json()["letter"] for each in (first, again)] == [told, told]
    assert "Refasten the curb." in notice.text


def test_link_when_its_letter_is_owed_then_its_words_are_in_no_answer(
    roofs: Roofs, alder: Owner, theo: Person
) -> None:
    answer = by_key(theo).post(VISITS, advised(roofs))
    link = alder.links.get()
    assert (str(link.pk) in answer.text, ADDRESS in answer.text) == (False, False)


def test_letter_when_the_visit_is_corrected_then_not_sent_again(
    roofs: Roofs, alder: Owner, theo: Person
) -> None:
    visit = advised(roofs)
    by_key(theo).post(VISITS, visit)
    right = {"id": str(uuid4()), "supersedes": visit["id"], "correction_reason": "typed wrong"}
    by_key(theo).post(VISITS, {**visit, **right})
    assert Notice.objects.filter(kind="advice").count() == 1


def test_letter_when_asked_for_on_a_later_visit_too_then_sent_then_too(
    roofs: Roofs, alder: Owner, theo: Person
) -> None:
    visit = advised(roofs, "question")
    by_key(theo).post(VISITS, visit)
    advice, day = visit["recommendations"][0]["id"], visit["began_at"][:10]
    told = {"recommendation": advice, "answer": "by_link", "on": day}
    later = [advised(roofs, recommendations=[], decisions=[told]) for _ in range(2)]
    states = [by_key(theo).post(VISITS, each).json()["letter"]["state"] for each in later]
    assert (states, Notice.objects.filter(kind="advice").count()) == (["owed", "owed"], 2)


def test_letter_when_the_owner_reads_spanish_then_in_spanish_though_the_technician_does_not(
    roofs: Roofs, alder: Owner, theo: Person
) -> None:
    alder.language = "es"
    alder.save()
    told = by_key(theo).post(VISITS, advised(roofs)).json()["letter"]["sentence"]
    assert told.startswith("A letter with the link")
    assert Notice.objects.get(kind="advice").subject.startswith("Su sí o no")


def test_letter_when_the_owner_has_no_address_then_said_and_sent_once_one_is_entered(
    roofs: Roofs, theo: Person
) -> None:
    told = by_key(theo).post(VISITS, advised(roofs)).json()["letter"]
    assert told["state"] == "no_address"
    assert "has no email address on record" in told["sentence"]
    Owner.objects.filter(pk=roofs.bakery.site.owner_id).update(email=ADDRESS)
    write_notices(now=timezone.now())
    assert Notice.objects.get(kind="advice").address == ADDRESS


def test_letter_when_the_advice_is_answered_before_it_came_in_then_none(
    roofs: Roofs, alder: Owner, theo: Person
) -> None:
    visit = advised(roofs, "go_ahead")
    by_key(theo).post(VISITS, visit)
    told = {
        "recommendation": visit["recommendations"][0]["id"], "answer": "by_link",
        "on": visit["began_at"][:10],
    }  # fmt: skip
    answer = by_key(theo).post(VISITS, advised(roofs, recommendations=[], decisions=[told]))
    assert answer.json()["letter"]["state"] == "settled"
    assert not Notice.objects.filter(kind="advice").exists()


def test_letter_when_nobody_asked_for_a_link_then_none(
    roofs: Roofs, alder: Owner, theo: Person
) -> None:
    assert by_key(theo).post(VISITS, advised(roofs, "question")).json()["letter"] is None


def test_link_when_asked_for_without_advice_then_pointed_at(roofs: Roofs, theo: Person) -> None:
    site = roofs.bakery.site
    told = {
        "id": str(uuid4()), "owner": site.owner.name, "site": site.name, "fan": "EF-1",
        "subject": "curb", "answer": "by_link", "on": "2026-03-04",
    }  # fmt: skip
    answer = by_key(theo).post(DECISIONS, told)
    assert (answer.status_code, faults(answer)) == (400, ["#/recommendation"])


def test_link_when_asked_for_without_a_visit_then_refused_as_no_letter_would_go(
    roofs: Roofs, alder: Owner, theo: Person
) -> None:
    visit = advised(roofs, "question")
    by_key(theo).post(VISITS, visit)
    told = {
        "id": str(uuid4()), "recommendation": visit["recommendations"][0]["id"],
        "answer": "by_link", "on": visit["began_at"][:10],
    }  # fmt: skip
    answer = by_key(theo).post(DECISIONS, told)
    assert (answer.status_code, faults(answer)) == (400, ["#/answer"])


def test_letters_when_one_visit_asks_two_owners_then_each_reads_of_its_own_alone(
    roofs: Roofs, alder: Owner, theo: Person
) -> None:
    other = roofs.diner.site.owner
    Owner.objects.filter(pk=other.pk).update(email="b@birch.example")
    day = (timezone.now() - timedelta(days=2)).date().isoformat()
    theirs = {"id": str(uuid4()), "fan": roofs.diner.tag, "subject": "curb", "text": "Theirs."}
    before = {**look(roofs.diner, seen={"curb": "loose"}), "began_at": f"{day}T09:10"}
    by_key(theo).post(VISITS, {**before, "recommendations": [theirs]})
    told = {"recommendation": theirs["id"], "answer": "by_link", "on": day}
    by_key(theo).post(VISITS, advised(roofs, decisions=[told]))
    texts = dict(Notice.objects.filter(kind="advice").values_list("owner", "text"))
    assert texts.keys() == {alder.pk, other.pk}
    assert ("Theirs." in texts[alder.pk], "Theirs." in texts[other.pk]) == (False, True)
    assert "Refasten" not in texts[other.pk]


def test_link_when_written_otherwise_then_its_letter_is_told_all_the_same(
    roofs: Roofs, alder: Owner, theo: Person
) -> None:
    answer = by_key(theo).post(VISITS, advised(roofs, "By link"))
    assert answer.json()["letter"]["state"] == "owed"
