"""Counting mail: which duplicates a death explains, and which are a fault."""

from __future__ import annotations

import pytest

from schedules.proofs.mail_counting import Acceptance, MailCount, count_mail

OWED = {"<a@x>": "a@kitchen.example", "<b@x>": "b@kitchen.example"}
A, B = OWED


def took(name: str, at_s: float, *, gone_on: bool, to: str = "") -> Acceptance:
    gone_on_s = at_s + 0.1 if gone_on else None
    return Acceptance(name, to or OWED.get(name, "?"), at_s, gone_on_s)


def count(*taken: Acceptance, outages: tuple[tuple[float, float], ...] = ()) -> MailCount:
    return count_mail(OWED, taken, outages)


def test_mail_when_each_came_once_then_nothing_to_complain_of() -> None:
    counted = count(took(A, 1, gone_on=True), took(B, 2, gone_on=True))
    assert (counted.arrived, counted.duplicates, counted.complaints()) == (2, 0, [])


def test_mail_when_one_never_came_then_said() -> None:
    assert count(took(A, 1, gone_on=True)).missing == (B,)


def test_duplicate_when_its_first_sender_never_went_on_then_explained() -> None:
    counted = count(took(A, 1, gone_on=False), took(A, 9, gone_on=True), took(B, 2, gone_on=True))
    assert (counted.duplicates, counted.explained, counted.complaints()) == (1, 1, [])


def test_duplicate_when_its_first_sender_went_on_then_a_fault() -> None:
    # told out of order: what counts is when each was taken
    counted = count(took(A, 9, gone_on=False), took(A, 1, gone_on=True), took(B, 2, gone_on=True))
    assert counted.complaints() == ["1 notices came again although noted as sent, such as <a@x>."]


def test_duplicate_when_its_first_sender_went_on_only_later_then_explained() -> None:
    hung = Acceptance(A, OWED[A], 1, gone_on_s=9)
    assert count(hung, took(A, 5, gone_on=True), took(B, 2, gone_on=True)).explained == 1


@pytest.mark.parametrize(("taken_at", "explained"), [(3.9, 0), (4.1, 1), (6.0, 1), (6.1, 0)])
def test_duplicate_when_nothing_could_be_noted_then_explained(
    taken_at: float, explained: int
) -> None:
    first, again = took(A, taken_at, gone_on=True), took(A, 20, gone_on=True)
    assert count(first, again, took(B, 2, gone_on=True), outages=((5, 6),)).explained == explained


@pytest.mark.parametrize(
    "odd", [took("<c@x>", 1, gone_on=True), took(A, 1, gone_on=True, to="b@kitchen.example")]
)
def test_mail_when_owed_to_nobody_there_then_said(odd: Acceptance) -> None:
    assert count(odd).strangers == (odd.message_id,)


def test_duplicate_when_two_senders_had_it_at_once_then_a_fault() -> None:
    first = Acceptance(A, OWED[A], 1.3, gone_on_s=1.6, begun_s=1.0)
    again = Acceptance(A, OWED[A], 1.4, gone_on_s=1.7, begun_s=1.1)
    counted = count_mail(OWED, [first, again, took(B, 2, gone_on=True)], apart_s=0.2)
    assert (counted.at_once, counted.unexplained) == ((A,), ())
