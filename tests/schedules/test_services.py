"""Logging as the doorways do it: the record is never lost, dates follow, corrections take back."""

from __future__ import annotations

import datetime as dt
from itertools import permutations
from typing import Any

import pytest
from django.db import DatabaseError

from fleet.models import Machine
from fleet.wording import note_sentences
from schedules import services
from schedules.due import reckoning, writing
from schedules.due.answers import read_answer
from schedules.models import DueState
from schedules.services import import_fleet_file, log_closing, log_event, log_visit
from tests.fleet.sheets import FULL, csv_file
from tests.visits.roofs import NOW, PLACE, WITHIN, check, make_roof, visit
from visits.models import Check, Visit

pytestmark = pytest.mark.django_db
LOOSE = {**WITHIN, "hinge": "loose"}


def dates(tag: str = "EF-1") -> tuple[dt.date | None, int | None, bytes]:
    state = DueState.objects.get(fan__tag=tag)
    return state.due_on, state.due_rule, bytes(state.dates or b"")


def rules(tag: str = "EF-1") -> set[int]:
    return {date.rule for date in read_answer(dates(tag)[2])[0]}


def log(payload: dict[str, Any]) -> services.Logged:
    return log_visit(payload=payload, by=None, now=NOW)


@pytest.mark.parametrize("trouble", [ArithmeticError, LookupError, DatabaseError])
def test_visit_when_reckoning_breaks_then_the_visit_stays_and_the_fan_is_stale(
    monkeypatch: pytest.MonkeyPatch, trouble: type[Exception]
) -> None:
    def broken(*_: Any) -> None:
        raise trouble("the engine stumbled")

    make_roof()
    # deep inside, so that the transaction it stands in is broken with it
    monkeypatch.setattr(reckoning, "reckon", broken)
    logged = log(visit(check(seen=WITHIN)))
    assert (logged.reckoned, Visit.objects.count(), DueState.objects.stale().exists()) == (
        False, 1, True,
    )  # fmt: skip


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_visit_when_dates_sent_unawaited_are_refused_then_the_visit_stays(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    make_roof()
    monkeypatch.setattr(writing, "WRITE_ALL_OF_FEW", "SELECT 1 / 0, %s::text, %s::text, %s::text")
    logged = log(visit(check(seen=WITHIN)))
    assert (logged.reckoned, Visit.objects.count(), dates()[0]) == (False, 1, None)


def test_visit_when_words_fail_then_error_but_visit_and_dates_stay() -> None:
    def speechless(_: services.Logged) -> None:
        raise LookupError

    make_roof()
    with pytest.raises(LookupError):
        log_visit(payload=visit(check(seen=WITHIN)), by=None, now=NOW, tell=speechless)
    assert (Visit.objects.count(), 1 in rules()) == (1, True)


def test_visit_when_a_guard_is_off_then_the_fan_comes_back_due_that_day() -> None:
    make_roof()
    logged = log(visit(check(seen={**WITHIN, "guard": "off"})))
    found = {rule.rule: rule.due_day for rule in read_answer(logged.due[0].dates)[0]}
    assert found[6] == dt.date(2026, 3, 2).toordinal()


def test_finding_when_it_moves_no_date_then_the_worst_open_is_kept_all_the_same() -> None:
    # While a fan is out of service nothing found on it moves a date (design.md 2, rules C).
    make_roof()
    log(visit(check(seen=WITHIN), made_safe=[{"fan": "EF-1", "told": "the chef"}]))
    found = [{"fan": "EF-1", "subject": "hinge", "severity": "critical"}]
    logged = log(visit(check(), on="2026-04-18T09:10", findings=found))
    stored = DueState.objects.get(fan__tag="EF-1").worst_verdict
    assert (logged.due[0].worst_verdict, stored) == (4, 4)


def test_correction_when_it_restores_the_values_then_it_restores_the_dates() -> None:
    make_roof()
    first = visit(check(seen=LOOSE))
    log(first)
    before = dates()
    wrong = visit(check(seen=WITHIN), supersedes=first["id"], correction_reason="wrong fan")
    log(wrong)
    between = dates()
    log(visit(check(seen=LOOSE), supersedes=wrong["id"], correction_reason="right fan after all"))
    assert (between != before, dates()) == (True, before)


def test_visits_when_told_in_any_order_then_the_dates_are_the_same() -> None:
    make_roof()
    told = [
        visit(check(seen=LOOSE), on="2026-02-03T09:00"),
        visit(check(seen=WITHIN), on="2026-03-03T09:00"),
        visit(check(seen=LOOSE), on="2026-04-03T09:00"),
    ]
    ends = set()
    for order in permutations(told):
        Check.objects.all().delete()
        Visit.objects.all().delete()
        for payload in order:
            log(payload)
        ends.add(dates())
    assert len(ends) == 1


def test_event_when_a_system_is_cleaned_then_all_its_fans_are_due_a_look() -> None:
    make_roof()
    log(visit(check("EF-1", seen=WITHIN), check("EF-2", seen=WITHIN)))
    cleaning = {"id": "0b0f8d76-3c5a-4d0c-9a59-6f3f0c3a7d10", **PLACE, "kind": "hood_cleaning"}
    logged = log_event(payload={**cleaning, "started": "2026-03-10"}, by=None, now=NOW)
    assert [state.fan.tag for state in logged.due] == ["EF-1", "EF-2"]


def test_finding_when_closed_with_a_reason_then_its_date_goes() -> None:
    make_roof()
    key = "6b1c1f4e-54a4-4a62-9d0e-0f4d2f1d2b11"
    finding = {"id": key, "fan": "EF-1", "item": "conduit", "severity": "critical"}
    log(visit(check(seen=WITHIN), findings=[finding]))
    open_rules = rules()
    log_closing(
        payload={
            "id": "7d8b0c55-0f3e-4d8e-8a43-5f0c3a7d1022",
            "finding": key,
            "closed_on": "2026-03-04",
            "reason": "was the neighbour's conduit",
        },
        by=None,
        now=NOW,
    )
    assert open_rules - rules() == {6}


def test_plate_when_completed_then_old_readings_are_judged_again() -> None:
    make_roof()
    machine = Machine.objects.get(fan__tag="EF-1")
    machine.volts = machine.full_load_amps = ""
    machine.save()
    log(visit(check(readings={"amps_a": 2.8, "amps_b": 2.8, "amps_c": 2.8})))
    unjudged = Check.objects.get().judged["amps"]
    machine.volts, machine.full_load_amps = "230/460", "3.2/1.6"
    machine.save()
    assert (unjudged, Check.objects.get().judged["amps"]) == ("cannot_judge", "within")


@pytest.mark.parametrize("dry_run", [True, False])
def test_fleet_file_when_an_overload_is_set_above_the_plate_then_noted(dry_run: bool) -> None:
    row = FULL | {"Connected volts": "460", "Overload setting (A)": "3.4", "Breaker (A)": "15"}
    report = import_fleet_file(
        data=csv_file(row), name="fans.csv", by=None, now=NOW, dry_run=dry_run
    )
    # NFPA 70 430.32(A)(1): at most 115 % of the plate's 1.6 A without a service factor
    assert note_sentences(report.notes) == [
        "row 2, Overload setting (A): act: Overload set at 3.4 A, above the 1.84 A the plate "
        "allows (2.08 A only where the motor would not start). Nobody has recorded seeing, at the "
        "connections, which rating is in use. Rests on NFPA 70, 430.32(A)(1), 2017 (confirmed)."
    ]
