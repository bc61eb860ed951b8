"""What a list may be asked: known names, each value read strictly, all faults told at once."""

from __future__ import annotations

from typing import Any

import pytest
from rest_framework.request import Request
from rest_framework.test import APIRequestFactory

from config.api.filters import DAY, FLAG, ID, INSTANT, number_within, one_of, read_parameters
from config.api.filters import text_up_to as text
from config.api.problems import InvalidError

KINDS = {
    "site": ID, "kind": one_of(["storm", "other"]), "superseded": FLAG, "since": INSTANT,
    "on": DAY, "within": number_within(0, 30), "tag": text(5),
}  # fmt: skip


def asked(query: str) -> dict[str, Any]:
    return read_parameters(Request(APIRequestFactory().get(f"/?{query}")), KINDS)


def test_parameters_when_right_then_read() -> None:
    told = asked("site=7&kind=storm&superseded=true&on=2026-03-02&within=30&tag=EF-1&limit=5")
    assert {name: str(value) for name, value in told.items()} == {
        "site": "7", "kind": "storm", "superseded": "True", "on": "2026-03-02", "within": "30",
        "tag": "EF-1",
    }  # fmt: skip


@pytest.mark.parametrize("offset", ["Z", "%2B00:00", "+00:00"])
def test_moment_when_written_in_an_address_then_read(offset: str) -> None:
    told = asked(f"since=2026-03-02T09:10:00{offset}")
    assert told["since"].isoformat() == "2026-03-02T09:10:00+00:00"


@pytest.mark.parametrize(
    "query",
    [
        "site=0", "site=9223372036854775808", "site=1e3", "site=-1", "site=%00", "site=٣",
        "site=1&site=2", "kind=hail", "superseded=perhaps", "since=2026-03-02",
        "since=2026-03-02T09:10", "since=0001-01-01T00:00Z", "on=20260302", "on=9999-12-31",
        "on=2026-02-30", "within=31", "within=٣", "tag=EF-100", "tag=%00",
        "since=9999-12-31T23:59-14:00",
    ],
)  # fmt: skip
def test_parameter_when_it_makes_no_sense_then_refused(query: str) -> None:
    with pytest.raises(InvalidError) as caught:
        asked(query)
    assert [fault["parameter"] for fault in caught.value.errors] == [query.partition("=")[0]]


def test_parameter_when_unknown_then_the_nearest_is_named() -> None:
    with pytest.raises(InvalidError) as caught:
        asked("sit=7&within=x")
    assert (caught.value.errors[0]["remedy"][:19], len(caught.value.errors)) == (
        "did you mean site? ", 2,
    )  # fmt: skip
