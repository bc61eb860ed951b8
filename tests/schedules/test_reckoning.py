"""Dates reckoned from the tables: what is stored is what the record says, come what may."""

from __future__ import annotations

import datetime as dt
from typing import Any

import numpy as np
import pytest
from django.db.models import JSONField, Value

from fleet.models import OperatingPeriod
from schedules.due import reckoning
from schedules.due.reckoning import reckon_fans, reckon_fleet
from schedules.engine.history import history_dtype
from schedules.models import DueChange, DueState, FanHistory
from schedules.revisions import raise_revisions
from tests.schedules.fans import NOW, SOUND, make_fan, walk
from visits.models import Check

pytestmark = pytest.mark.django_db


def stored() -> list[tuple[object, ...]]:
    """Every column of every row but those that count its changes."""
    counting = {"revision", "reckoned_revision", "touched_at", "dates"}
    names = {field.attname for field in DueState._meta.fields} - counting
    rows = DueState.objects.order_by("fan").values_list("dates", *sorted(names))
    return [(bytes(row[0]), *row[1:]) for row in rows]


def test_a_new_fan_has_a_due_row_that_waits_to_be_reckoned() -> None:
    make_fan()
    assert DueState.objects.stale().count() == 1


def test_reckoning_a_walk_through_dates_the_next_two_months_on() -> None:
    fan = make_fan()
    walk(fan, "2026-03-02")
    reckon_fleet(now=NOW)
    dates = dict(DueState.objects.values_list("due_rule", "due_on"))
    assert dates == {2: dt.date(2026, 1, 15)}


def test_reckoning_from_truth_reproduces_every_stored_row() -> None:
    for number in range(5):
        walk(make_fan(f"EF-{number}"), f"2026-0{number + 1}-11", {"hinge": "watch"}, hinge="loose")
    reckon_fleet(now=NOW)
    before = stored()
    report = reckon_fleet(now=NOW, only_stale=False, from_truth=True)
    assert (report.changed, stored()) == (0, before)


def test_losing_the_packed_histories_changes_no_answer() -> None:
    walk(make_fan(), "2026-03-02")
    reckon_fleet(now=NOW)
    before = stored()
    FanHistory.objects.all().delete()
    reckon_fleet(now=NOW, only_stale=False)
    assert stored() == before


def test_a_fan_reckoned_alone_equals_that_fan_among_others() -> None:
    fans = [make_fan(f"EF-{number}") for number in range(3)]
    walk(fans[1], "2026-04-09", {"wheel": "act"}, wheel="dented")
    reckon_fleet(now=NOW)
    together = stored()[1]
    FanHistory.objects.all().delete()
    raise_revisions([fans[1].pk])
    reckon_fans(fan_ids=[fans[1].pk], now=NOW)
    assert stored()[1] == together


def test_reckoning_twice_finds_nothing_left_to_do() -> None:
    make_fan()
    reckon_fleet(now=NOW)
    assert reckon_fleet(now=NOW).fans == 0


def test_a_visit_that_comes_during_a_reckoning_keeps_the_fan_stale(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    fan = make_fan()

    def late(*args: object, **kwargs: object) -> object:
        raise_revisions([fan.pk])
        return reckon(*args, **kwargs)

    reckon = reckoning.reckon
    monkeypatch.setattr(reckoning, "reckon", late)
    reckon_fleet_once = reckoning.reckon_fans(fan_ids=[fan.pk], now=NOW)
    assert (reckon_fleet_once.fans, DueState.objects.stale().count()) == (1, 1)


def test_a_fan_whose_data_is_broken_says_so_and_stops_no_other() -> None:
    broken, sound = make_fan("EF-1"), make_fan("EF-2")
    walk(broken, "2026-03-02", {"hinge": "watch"}).__class__.objects.update(
        recheck_days={"hinge": "not a day"}
    )
    report = reckon_fleet(now=NOW)
    states = dict(DueState.objects.values_list("fan_id", "fault"))
    assert (report.failed, bool(states[broken.pk]), states[sound.pk]) == (1, True, "")


def test_a_changed_date_is_remembered_with_what_it_was() -> None:
    fan = make_fan()
    reckon_fleet(now=NOW)
    walk(fan, "2026-01-10", {"guard": "stop"}, guard="off")
    raise_revisions([fan.pk])
    reckon_fleet(now=NOW)
    change = DueChange.objects.get()
    assert (change.due_on_before, change.due_on, change.due_rule) == (
        dt.date(2026, 1, 15),
        dt.date(2026, 1, 10),
        6,
    )


@pytest.mark.parametrize("broken", [5, "x", []])
def test_a_check_whose_days_are_no_days_is_its_own_fans_fault_alone(broken: object) -> None:
    check = walk(make_fan("EF-1"), "2026-03-02")
    walk(make_fan("EF-2"), "2026-03-02")
    Check.objects.filter(pk=check.pk).update(recheck_days=broken)
    assert reckon_fleet(now=NOW).failed == 1


@pytest.mark.parametrize("broken", [5, "x", [5], [["a"]], None])
def test_hours_that_are_no_hours_keep_no_fan_from_its_dates(broken: object) -> None:
    for tag in ("EF-1", "EF-2"):
        fan = make_fan(tag)
        OperatingPeriod.objects.create(system=fan.system, valid_from="2026-01-01", spans=[])
    periods = OperatingPeriod.objects.filter(system=fan.system)
    periods.update(spans=Value(broken, JSONField()))
    report = reckon_fleet(now=NOW)
    assert (report.fans, report.failed, DueState.objects.filter(due_on=None).count()) == (2, 0, 0)


@pytest.mark.parametrize("frame", ["13/13/2026", "²", "9" * 12])
def test_a_fan_whose_frame_is_no_frame_is_reckoned_all_the_same(frame: str) -> None:
    make_fan().machines.update(frame=frame, drive="belt", bearings="greased", speed_rpm=1725)
    assert reckon_fleet(now=NOW).failed == 0


def test_correcting_a_zone_makes_every_fan_of_the_site_stale() -> None:
    fan = make_fan()
    reckon_fleet(now=NOW)
    fan.site.time_zone = "America/Denver"
    fan.site.save()
    assert DueState.objects.stale().count() == 1


def test_reckoning_a_block_asks_a_fixed_number_of_questions(
    django_assert_max_num_queries: Any,
) -> None:
    for number in range(12):
        walk(make_fan(f"EF-{number}"), "2026-03-02")
    fan_ids = list(DueState.objects.values_list("fan_id", flat=True))
    with django_assert_max_num_queries(24):
        reckon_fans(fan_ids=fan_ids, now=NOW)


def test_a_history_that_names_hours_nobody_has_is_built_anew() -> None:
    fan = make_fan()
    OperatingPeriod.objects.create(system=fan.system, valid_from=dt.date(2026, 1, 1), always=True)
    fan.machines.update(bearings="greased", bore_mm=30.2, shaft_rpm=1100)
    reckon_fleet(now=NOW, from_truth=True, only_stale=False)
    before, history = stored(), FanHistory.objects.get()
    row = np.frombuffer(history.row, history_dtype()).copy()
    row["calendar_key"] = 1
    FanHistory.objects.update(row=row.tobytes())
    reckon_fleet(now=NOW, only_stale=False)
    assert (stored(), bytes(FanHistory.objects.get().row)) == (before, bytes(history.row))


# Out of service the fan keeps its restart check as its only date: only the worst of what is open
# changes when its guard is found off.
def test_a_stop_that_moves_no_date_is_stored_all_the_same() -> None:
    fan = make_fan()
    walk(fan, "2026-03-02")
    walk(fan, "2026-03-04").visit.made_safe.create(fan=fan, told="cook")
    reckon_fleet(now=NOW)
    before = stored()
    nothing_else = dict.fromkeys(SOUND)
    walk(fan, "2026-03-05", {"guard": "stop"}, **{**nothing_else, "guard": "off"})
    raise_revisions([fan.pk])
    reckon_fleet(now=NOW)
    found = stored()
    DueState.objects.update(dates=None)
    reckon_fleet(now=NOW, only_stale=False, from_truth=True)
    assert (found != before, stored()) == (True, found)
