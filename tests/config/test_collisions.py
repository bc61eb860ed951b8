"""Transactions that get in each other's way: both end well."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from threading import Barrier, BrokenBarrierError

import pytest
from django.db import DatabaseError, IntegrityError, connection

from config.collisions import TRIES, in_one_transaction
from fleet.models import Owner


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_work_when_two_wait_for_each_other_then_both_are_done() -> None:
    ids = [Owner.objects.create(name=name).pk for name in ("Alder", "Sorrel")]
    both_hold_one = Barrier(2)

    @in_one_transaction
    def write(order: list[int]) -> None:
        Owner.objects.filter(pk=order[0]).update(phone="1")
        with suppress(BrokenBarrierError):  # the second try is alone
            both_hold_one.wait(timeout=5)
        Owner.objects.filter(pk=order[1]).update(phone=str(order))

    def close_after(order: list[int]) -> bool:
        write(order)
        connection.close()
        return True

    with ThreadPoolExecutor(2) as pool:
        assert list(pool.map(close_after, [ids, ids[::-1]])) == [True, True]


@pytest.mark.django_db
def test_work_when_it_collides_every_time_then_given_up_in_the_end() -> None:
    tries = []

    @in_one_transaction
    def write() -> None:
        tries.append(Owner.objects.create(name="Alder"))
        Owner.objects.create(name="Alder")

    with pytest.raises(IntegrityError):
        write()
    assert (len(tries), Owner.objects.count()) == (TRIES, 0)


@pytest.mark.django_db
def test_work_when_the_database_refuses_it_then_tried_once() -> None:
    tries = []

    @in_one_transaction
    def write() -> None:
        tries.append(1)
        with connection.cursor() as cursor:
            cursor.execute("SELECT nothing FROM nowhere")

    with pytest.raises(DatabaseError):
        write()
    assert len(tries) == 1
