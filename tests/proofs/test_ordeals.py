"""A server that keeps senders waiting lets each go on when it should, and counts whom it caught."""

from __future__ import annotations

import asyncio
import time

from schedules.proofs.ordeals import NEVER, NOT_NOW, Ordeals

A, B = "a@kitchen.example", "b@kitchen.example"
LEASE_S = 0.02


def test_text_when_another_sender_has_it_then_a_last_no_before_that_one_goes_on() -> None:
    order: list[str] = []

    async def first(ordeals: Ordeals) -> None:
        order.append(await ordeals.hold(A))
        ordeals.let_go(A)

    async def second(ordeals: Ordeals) -> None:
        await asyncio.sleep(LEASE_S)
        await ordeals.meet(A)
        order.append("on")

    async def both() -> Ordeals:
        ordeals = Ordeals(1.0)
        await asyncio.gather(first(ordeals), second(ordeals))
        return ordeals

    assert asyncio.run(both()).overtaken == 1
    assert order == [NEVER, "on"]


def test_text_when_another_sender_comes_within_the_lease_then_no_last_no_before_it_is_over() -> (
    None
):
    """That one may have slept through a lease of its own: the message is still in hand here."""

    async def heard_after() -> float:
        ordeals = Ordeals(0.2)
        holding = asyncio.create_task(ordeals.hold(A))
        await asyncio.sleep(0)
        began = time.monotonic()
        meeting = asyncio.create_task(ordeals.meet(A))
        assert await holding == NEVER
        took = time.monotonic() - began
        ordeals.let_go(A)
        await meeting
        return took

    assert asyncio.run(heard_after()) >= 0.19


def test_text_when_nobody_else_comes_then_told_to_come_again() -> None:
    ordeals = Ordeals(LEASE_S)
    assert asyncio.run(ordeals.hold(A)) == NOT_NOW
    assert (ordeals.overtaken, ordeals.at_work) == (0, False)


def test_text_when_it_is_not_the_last_of_so_many_then_not_held() -> None:
    ordeals = Ordeals(LEASE_S, texts=2)
    assert asyncio.run(ordeals.hold(A)) == ""
    assert asyncio.run(ordeals.hold(B)) == NOT_NOW


def test_caller_when_there_is_no_lease_then_greeted_at_once() -> None:
    ordeals = Ordeals()
    asyncio.run(ordeals.greet())
    assert (ordeals.slept, ordeals.at_work) == (0, False)


def test_caller_when_greeted_late_then_watched_until_it_shows_what_it_does() -> None:
    async def watch(ordeals: Ordeals) -> list[bool]:
        await ordeals.greet()
        told = [ordeals.at_work]
        await asyncio.sleep(LEASE_S)
        return [*told, ordeals.at_work]

    ordeals = Ordeals(LEASE_S)
    assert (asyncio.run(watch(ordeals)), ordeals.slept) == ([True, False], 1)
