"""Names of those whom figures are about."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from fleet.models import Owner, Person, Site


def names_of(kind: str, ids: Iterable[int]) -> Mapping[int, str]:
    """Names of technicians, sites or owners by id; one query."""
    if kind == "technician":
        return {person.pk: person.called for person in Person.objects.filter(pk__in=ids)}
    rows: Any = {"site": Site, "owner": Owner}[kind]
    return dict(rows.objects.filter(pk__in=ids).values_list("pk", "name"))
