"""What a list may be asked: known names, each value read strictly, all faults told at once."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from rest_framework.request import Request
from rest_framework.test import APIRequestFactory

from config.api.filters import (
    NamedFilters,
    by_choice,
    by_day,
    by_flag,
    by_id,
    by_instant,
    by_text,
)
from config.api.problems import InvalidError
from fleet.models import Person, Site


def keep(name: str) -> Any:
    """Notes the value under its name instead of narrowing rows."""
    return lambda rows, value: {**rows, name: str(value)}


FILTERS = {
    "site": by_id(keep("site"), "", Site.objects.visible_to),
    "kind": by_choice(keep("kind"), ("storm", "other"), ""),
    "superseded": by_flag(keep("superseded"), ""), "since": by_instant(keep("since"), ""),
    "on": by_day(keep("on"), ""), "tag": by_text(keep("tag"), ""),
}  # fmt: skip
VIEW = SimpleNamespace(filters=FILTERS, keyset=("pk",))


def asked(query: str) -> dict[str, str]:
    request = Request(APIRequestFactory().get(f"/?{query}"))
    request.user = Person(role=Person.Role.DISPATCHER)
    return NamedFilters().filter_queryset(request, {}, VIEW)


def test_parameters_when_right_then_read() -> None:
    told = {
        "site": "7", "kind": "storm", "superseded": "True", "on": "2026-03-02", "tag": "EF-1",
    }  # fmt: skip
    assert asked("site=7&kind=storm&superseded=true&on=2026-03-02&tag=EF-1&limit=5") == told


@pytest.mark.parametrize("offset", ["Z", "%2B00:00", "+00:00"])
def test_instant_when_written_in_an_address_then_read(offset: str) -> None:
    assert asked(f"since=2026-03-02T09:10:00{offset}")["since"] == "2026-03-02 09:10:00+00:00"


@pytest.mark.parametrize(
    "query",
    [
        "site=1e3", "site=-1", "site=%00", "site=٣", "site=1&site=2", "kind=hail",
        "superseded=perhaps", "since=2026-03-02", "since=2026-03-02T09:10", "on=2026-02-30",
        "tag=%00", "tag=", f"tag={'x' * 121}", "since=9999-12-31T23:59-14:00", "height=3",
    ],
)  # fmt: skip
def test_parameter_when_it_makes_no_sense_then_refused(query: str) -> None:
    with pytest.raises(InvalidError) as caught:
        asked(query)
    assert [fault["parameter"] for fault in caught.value.errors] == [query.partition("=")[0]]


def test_id_when_beyond_any_then_nobodys() -> None:
    assert asked("site=9223372036854775808") == {"site": "0"}
