"""Events between visits: whom they touch and when they were."""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import uuid4

import pytest

from fleet.models import ExhaustSystem, Fan, Site
from tests.visits.roofs import NOW, PLACE, make_roof
from visits.models import Event
from visits.payload import PayloadError
from visits.services import Recorded, record_event

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def roof() -> None:
    """A roof with a third fan on a system of its own."""
    site = make_roof()
    fryers = ExhaustSystem.objects.create(site=site, name="Fryers")
    Fan.objects.create(site=site, system=fryers, tag="EF-3", entered_on=date(2026, 1, 1))


def told(**parts: Any) -> Recorded:
    """Record a hood cleaning of that night."""
    payload = {
        "id": str(uuid4()), "kind": "hood_cleaning", **PLACE, "started": "2026-02-08T23:30",
        "ended": "2026-02-09T03:40", **parts,
    }  # fmt: skip
    return record_event(payload=payload, by=None, now=NOW)


def tags(recorded: Recorded) -> list[str]:
    """Tags of the fans touched."""
    return sorted(Fan.objects.filter(pk__in=recorded.fan_ids).values_list("tag", flat=True))


def test_cleaning_when_it_ends_after_midnight_then_of_the_day_it_ends() -> None:
    row = told(system="main line", tipped=["EF-1"], places_cleaned=["duct"]).row
    assert (row.ended_on, row.ended_minute, [fan.tag for fan in row.tipped_fans.all()]) == (
        date(2026, 2, 9), 220, ["EF-1"],
    )  # fmt: skip


def test_cleaning_when_a_fan_is_named_in_other_capitals_too_then_it_was_tipped_once() -> None:
    row = told(tipped=["EF-1", "ef-1", "EF-2"]).row
    assert [fan.tag for fan in row.tipped_fans.order_by("pk")] == ["EF-1", "EF-2"]


def test_event_when_clocks_went_back_over_midnight_and_it_ends_the_day_before_then_refused() -> (
    None
):
    # 00:01 became 23:01 there: IANA time zone database, rule StJohns.
    make_roof(site="Signal Hill", time_zone="America/St_Johns")
    with pytest.raises(PayloadError, match="ends before it starts"):
        told(site="Signal Hill", started="2006-10-29T00:00-02:30", ended="2006-10-28T23:30-03:30")


def test_event_when_clocks_went_back_during_it_then_taken() -> None:
    row = told(started="2025-11-02T01:50", ended="2025-11-02T01:10").row
    assert (row.started_minute, row.ended_minute) == (110, 70)


@pytest.mark.parametrize(
    ("whose", "touched"),
    [
        ({}, ["EF-1", "EF-2", "EF-3"]),
        ({"system": "Main line"}, ["EF-1", "EF-2"]),
        ({"fan": "EF-3"}, ["EF-3"]),
    ],
)
def test_event_when_recorded_then_touches_whom_it_names(
    whose: dict[str, str], touched: list[str]
) -> None:
    assert tags(told(**whose)) == touched


def test_event_when_it_ends_before_it_starts_then_refused() -> None:
    with pytest.raises(PayloadError, match="/ended: it ends before it starts"):
        told(ended="2026-02-08T22:00")


def test_event_when_its_times_and_names_are_wrong_then_all_is_told_at_once() -> None:
    with pytest.raises(PayloadError) as caught:
        told(started="2199-02-08", ended="2199-02-08", fan="EF-9", system="Nowhere", tipped=["X"],
             running_on="2199-02-09")  # fmt: skip
    assert [said.pointer for said in caught.value.complaints] == [
        "/started", "/ended", "/running_on", "/system", "/fan", "/tipped/0",
    ]  # fmt: skip


def test_event_when_its_end_is_a_day_only_then_that_day_without_a_time() -> None:
    row = told(ended="2026-02-08").row
    assert (row.ended_on, row.ended_minute) == (date(2026, 2, 8), None)


def test_event_when_corrected_then_only_the_correction_stands() -> None:
    old = told(system="Fryers")
    new = told(system="Main line", supersedes=str(old.row.pk), correction_reason="the other system")
    assert (list(Event.objects.standing()), tags(new)) == ([new.row], ["EF-1", "EF-2", "EF-3"])


def test_event_when_corrected_twice_then_refused() -> None:
    old = told()
    told(supersedes=str(old.row.pk), correction_reason="typo")
    with pytest.raises(PayloadError, match="no standing event"):
        told(supersedes=str(old.row.pk), correction_reason="typo")


def test_event_when_the_site_has_no_fans_then_stored_all_the_same() -> None:
    quay = Site.objects.get()
    Site.objects.create(owner=quay.owner, name="New build", time_zone="America/Chicago")
    assert told(site="New build").fan_ids == ()
