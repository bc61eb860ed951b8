"""Work done while the database commits: kept or refused by the time it is over."""

from __future__ import annotations

import psycopg
import pytest
from django.db import IntegrityError, connection, transaction

from config.committing import unawaited
from config.statements import run
from fleet.models import Owner, Site

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]


def kept_owners() -> list[str]:
    """What others see."""
    with psycopg.connect(**connection.get_connection_params()) as other:
        return [name for (name,) in other.execute("SELECT name FROM fleet_owner")]


def test_commit_when_the_work_is_over_then_others_see_it() -> None:
    with transaction.atomic():
        with unawaited() as commit:
            Owner.objects.create(name="Alder")
            commit()
        assert kept_owners() == ["Alder"]


def test_commit_when_refused_at_the_end_then_error_and_nothing_kept() -> None:
    def write() -> None:
        with transaction.atomic():
            Owner.objects.create(name="Alder")
            with unawaited() as commit:
                run("UPDATE fleet_owner SET phone = %s", ["1"])
                Site.objects.bulk_create([Site(owner_id=0, name="Nowhere", time_zone="UTC")])
                commit()

    with pytest.raises(IntegrityError):
        write()
    assert (kept_owners(), Owner.objects.count()) == ([], 0)


def test_write_when_refused_then_error_on_leaving_and_no_commit() -> None:
    def write() -> None:
        with transaction.atomic():
            Owner.objects.create(name="Alder")
            with unawaited() as commit:
                run("UPDATE fleet_owner SET name = NULL WHERE name = %s", ["Alder"])
                commit()

    with pytest.raises(IntegrityError):
        write()
    assert (kept_owners(), Owner.objects.count()) == ([], 0)


def test_commit_within_another_transaction_then_that_one_decides() -> None:
    with transaction.atomic():
        with transaction.atomic(), unawaited() as commit:
            Owner.objects.create(name="Alder")
            commit()
        transaction.set_rollback(True)
    assert kept_owners() == []
