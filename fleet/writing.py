"""Many rows of the register read, and stored together with who changed them, when and why."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from typing import Any

from django.db import connection
from django.db.models import Model, QuerySet
from simple_history.utils import get_history_manager_for_model

from fleet.models import Person

BATCH = 2_000
MOST_IDS = 10_000
"""Ids named in one query: SQLite may be built for as few as 32,766 values."""


def rows_in(rows: QuerySet[Any], field: str, ids: Iterable[Any]) -> Iterator[Any]:
    """Rows whose ``field`` is one of many ids, in as many queries as that takes."""
    for part in batched(sorted(ids)):
        yield from rows.filter(**{f"{field}__in": part})


def batched(ids: Sequence[Any]) -> Iterator[Sequence[Any]]:
    """Slices of at most ``MOST_IDS``."""
    for start in range(0, len(ids), MOST_IDS):
        yield ids[start : start + MOST_IDS]


def save_told(row: Any, by: Person | None, now: datetime, why: str) -> None:
    """Save ``row``; its history entry carries ``by``, ``now`` and ``why``."""
    row._history_user = by
    row._history_date = now
    row._change_reason = why
    row.save()


def create_all(
    model: type[Model], rows: Sequence[Any], by: Person | None, now: datetime, why: str
) -> None:
    """Insert rows, and where the model keeps a history the first entry of each."""
    model._default_manager.bulk_create(rows, batch_size=BATCH)
    _tell(model, rows, ("+", now, by.pk if by else None, why))


def update_all(
    model: type[Model], rows: Sequence[Any], fields: list[str],
    by: Person | None, now: datetime, why: str,
) -> None:  # fmt: skip
    """Write ``fields`` of whole rows already on record, and a history entry of each."""
    # an upsert: Django's bulk_update builds one CASE per field and row, eight times slower
    model._default_manager.bulk_create(
        rows, batch_size=BATCH, update_conflicts=True, unique_fields=["id"], update_fields=fields
    )
    _tell(model, rows, ("~", now, by.pk if by else None, why))


_TOLD = ("history_type", "history_date", "history_user_id", "history_change_reason")


def _tell(model: type[Model], rows: Sequence[Any], told: tuple[Any, ...]) -> None:
    """Copy rows into their history inside the database.

    The history's own bulk helper builds every entry as an object again, which took longer than
    the rows themselves.
    """
    if not hasattr(model._meta, "simple_history_manager_attribute"):
        return
    history = get_history_manager_for_model(model).model
    quote = connection.ops.quote_name
    copied = ", ".join(quote(field.column) for field in history.tracked_fields)
    told_columns = ", ".join(map(quote, _TOLD))
    date = connection.ops.adapt_datetimefield_value(told[1])
    for ids in batched([row.pk for row in rows]):
        marks = ", ".join(["%s"] * len(ids))
        # names come from the models, values go as parameters
        statement = (
            f"INSERT INTO {quote(history._meta.db_table)} ({copied}, {told_columns}) "  # noqa: S608
            f"SELECT {copied}, %s, %s, %s, %s FROM {quote(model._meta.db_table)} "
            f"WHERE {quote('id')} IN ({marks})"
        )
        with connection.cursor() as cursor:
            cursor.execute(statement, [told[0], date, *told[2:], *ids])
