"""A visit is stored once and whole, with its checks judged."""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pytest_django import DjangoAssertNumQueries

from fleet.models import Fan, Feed, Machine, Person
from tests.visits.roofs import NOW, PLACE, WITHIN, check, log, make_roof, visit
from visits.models import Action, Check, Finding, MadeSafe, NotReached, SystemInspection, Visit
from visits.payload import PayloadError
from visits.services import PayloadConflictError, record_visit

pytestmark = pytest.mark.django_db
LINES = {"volts_ab": 202, "volts_bc": 200, "volts_ca": 200}


@pytest.fixture(autouse=True)
def roof() -> None:
    """Every test has its roof."""
    make_roof()


def complaints(payload: dict[str, Any]) -> list[str]:
    """What a visit is refused for."""
    with pytest.raises(PayloadError) as caught:
        record_visit(payload=payload, by=None, now=NOW)
    return [str(complaint) for complaint in caught.value.complaints]


def test_visit_when_recorded_then_columns_typed_and_place_in_time() -> None:
    log(check(readings={"vibration_motor_radial": "0.5 in/s"}))
    row = Check.objects.select_related("visit").get()
    assert (row.vibration_motor_radial_mm_s, row.typed, row.visit.local_on, row.visit.here) == (
        12.7,
        {"vibration_motor_radial_mm_s": {"value": 0.5, "unit": "in/s"}},
        date(2026, 3, 2),
        True,
    )


def test_volts_when_230_motor_reads_200_then_act_below_207() -> None:
    # NEMA MG-1 12.44: 10 % either way; 0.9 x 230 V = 207 V (worked example W8, EASA).
    recorded = log(check(readings=LINES))
    judgements = recorded.checks[0].judgements
    volts = next(j for j in judgements if j.subject == "volts")
    assert (volts.verdict, volts.limit, Check.objects.get().judged) == (
        "act",
        pytest.approx(207),
        {"volts": "act", "volts_unbalance": "within"},
    )


def test_visit_when_sent_again_then_the_stored_one_comes_back() -> None:
    payload = visit(check(seen=WITHIN))
    first = record_visit(payload=payload, by=None, now=NOW)
    again = record_visit(payload=payload, by=None, now=NOW)
    assert (again.created, again.visit, Check.objects.count()) == (False, first.visit, 1)


def test_visit_when_other_content_under_its_id_then_conflict() -> None:
    payload = visit()
    record_visit(payload=payload, by=None, now=NOW)
    with pytest.raises(PayloadConflictError, match="already belongs to another record"):
        record_visit(payload={**payload, "notes": "x"}, by=None, now=NOW)


def test_visit_when_without_id_then_one_is_asked_for() -> None:
    payload = {key: value for key, value in visit().items() if key != "id"}
    assert complaints(payload)[0].startswith("/id: ")


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"site": "Nowhere"}, '/site: no such site (seen: "Alder Kitchens: Nowhere")'),
        ({"checks": [{"fan": "EF-7"}]}, "/checks/0/fan: Quay Street has no such fan"),
        ({"began_at": "2026-07-01"}, "/began_at: this lies in the future"),
        ({"began_at": "2026-03-08T02:30"}, "/began_at: the clocks at Quay Street skipped"),
        ({"ended_at": "2026-03-02T08:00"}, "/ended_at: it ends before it begins"),
        ({"inspections": [{"system": "Fryers"}]}, "/inspections/0/system: Quay Street has no"),
        ({"inspections": [{}, {"system": "Main line"}]}, "/inspections/1: this system stands"),
        ({"inspector_qualified": True}, "/inspector_qualified: this is taken from old files"),
        ({"type": "event"}, "/type: another type is wanted"),
    ],
)
def test_visit_when_register_disagrees_then_told(change: dict[str, Any], told: str) -> None:
    assert complaints({**visit(), **change})[0].startswith(told)


AUTUMN = "2025-11-02"
"""A night on which clocks went back: 02:00 -05:00 became 01:00 -06:00."""


def test_visit_when_clocks_went_back_during_it_then_taken_with_its_length() -> None:
    ends = {"began_at": f"{AUTUMN}T01:50-05:00", "ended_at": f"{AUTUMN}T01:10-06:00"}
    made = log(**ends).visit
    assert made.ended_at
    assert (made.ended_at - made.began_at).total_seconds() == 1200


def test_visit_when_it_ends_before_it_begins_but_clocks_say_after_then_told() -> None:
    ends = {"began_at": f"{AUTUMN}T01:10-06:00", "ended_at": f"{AUTUMN}T01:50-05:00"}
    assert complaints({**visit(), **ends})[0].startswith("/ended_at: it ends before it begins")


YEAR_AGO = "2025-03-02"


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"checks": [check(recheck={"hinge": YEAR_AGO})]}, "/checks/0/recheck/hinge"),
        (
            {"findings": [{"fan": "EF-1", "subject": "hinge", "severity": "degraded",
                           "recheck_on": YEAR_AGO}]},
            "/findings/0/recheck_on",
        ),
        ({"made_safe": [{"fan": "EF-1", "told": "the chef", "promised_on": YEAR_AGO}]},
         "/made_safe/0/promised_on"),
    ],
)  # fmt: skip
def test_day_to_come_when_before_the_visit_then_refused(
    change: dict[str, Any], pointer: str
) -> None:
    (told,) = complaints({**visit(), **change})
    assert told.startswith(f"{pointer}: this day lies before 2026-03-02")


def test_visit_when_refused_then_nothing_is_stored() -> None:
    complaints(visit(check(), check("EF-9")))
    assert (Visit.objects.count(), Check.objects.count()) == (0, 0)


def test_site_when_given_by_id_then_found() -> None:
    site_id = Fan.objects.get(tag="EF-1").site_id
    payload = {key: value for key, value in visit().items() if key not in PLACE}
    recorded = record_visit(payload={**payload, "site_id": site_id}, by=None, now=NOW)
    assert recorded.visit.site_id == site_id


def test_site_when_of_another_owner_then_not_to_be_seen() -> None:
    other = make_roof("Sorrel Dining", "Mill Lane").owner
    guest = Person.objects.create(username="olga", role="owner", owner=other)
    with pytest.raises(PayloadError, match="no such site"):
        record_visit(payload=visit(), by=guest, now=NOW)


def test_tag_when_in_other_capitals_then_the_same_fan() -> None:
    assert log(check("ef-1")).fan_ids == (Fan.objects.get(tag="EF-1").pk,)


def test_technician_when_known_by_login_or_name_then_linked() -> None:
    theo = Person.objects.create(username="theo", first_name="Theo", last_name="Marsh")
    rows = [log(technician=name).visit for name in ("THEO", "Theo Marsh")]
    assert {row.technician_id for row in rows} == {theo.pk}


def test_technician_when_not_named_then_whoever_logs_it() -> None:
    theo = Person.objects.create(username="theo")
    assert record_visit(payload=visit(), by=theo, now=NOW).visit.technician_id == theo.pk


def test_technician_when_unknown_then_kept_as_written() -> None:
    recorded = log(technician="summer help").visit
    assert (recorded.technician_id, recorded.technician_name) == (None, "summer help")


@pytest.mark.parametrize("qualified", [True, False])
def test_inspection_when_recorded_then_qualified_as_the_person_is(qualified: bool) -> None:
    Person.objects.create(username="ines", qualified_code_inspection=qualified)
    recorded = log(technician="ines", inspections=[{}])
    fans = set(Fan.objects.values_list("pk", flat=True))
    assert (SystemInspection.objects.get().qualified, set(recorded.fan_ids)) == (qualified, fans)


def test_live_readings_when_not_qualified_then_a_caution() -> None:
    theo = Person.objects.create(username="theo")
    recorded = record_visit(payload=visit(check(readings=LINES)), by=theo, now=NOW)
    assert [each.code for each in recorded.cautions] == ["live_readings_unqualified"]


def test_parts_when_told_then_each_has_its_row() -> None:
    log(
        not_reached=[{"fan": "EF-2", "reason": "weather"}],
        made_safe=[{"fan": "EF-1", "told": "the chef", "promised_on": "2026-03-09"}],
        actions=[{"fan": "EF-1", "kind": "regreased"}],
        findings=[{"fan": "EF-1", "subject": "poles", "severity": "degraded"}],
    )
    assert (
        NotReached.objects.get().item,
        MadeSafe.objects.get().promised_on,
        Action.objects.get().item,
        Finding.objects.values_list("item", "verdict").get(),
    ) == ("", date(2026, 3, 9), "bearings", ("switch", "act"))


def test_statements_when_more_readings_then_no_more_of_them() -> None:
    def count(payload: dict[str, Any]) -> int:
        with CaptureQueriesContext(connection) as queries:
            record_visit(payload=payload, by=None, now=NOW)
        return len(queries)

    full = {**LINES, "amps_a": 3, "amps_b": 3, "amps_c": 3, "vibration_curb": 1, "hour_meter": 9}
    assert count(visit(check(readings=full, seen=WITHIN))) == count(
        visit(check(seen={"vibration_felt": "none"}))
    )


def test_statements_when_sent_again_then_one(
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    payload = visit(check(seen=WITHIN))
    record_visit(payload=payload, by=None, now=NOW)
    with django_assert_num_queries(1):
        record_visit(payload=payload, by=None, now=NOW)


def test_machine_when_replaced_then_as_found_saw_the_old_and_as_left_the_new() -> None:
    old = Machine.objects.get(fan__tag="EF-1")
    swap = {"fan": "EF-1", "kind": "replaced", "item": "machine", "machine": {"power_hp": 2}}
    log(check(), check(stage="as_left"), kind="replacement", actions=[swap])
    new = Machine.objects.get(fan__tag="EF-1", removed_on=None)
    assert dict(Check.objects.values_list("stage", "machine")) == {
        "as_found": old.pk, "as_left": new.pk,
    }  # fmt: skip


def test_machine_when_its_plate_is_impossible_then_refused_and_the_old_one_stays() -> None:
    swap = {"fan": "EF-1", "kind": "replaced", "item": "machine", "machine": {"power_hp": -1}}
    (told,) = complaints(visit(actions=[swap]))
    assert (told.split(":")[0], Machine.objects.filter(fan__tag="EF-1").count()) == (
        "/actions/0/machine", 1,
    )  # fmt: skip


def test_machine_when_told_twice_for_one_fan_then_refused_and_the_old_one_stays() -> None:
    swap = {"fan": "EF-1", "kind": "replaced", "item": "machine", "machine": {}}
    (told,) = complaints(visit(actions=[swap, {**swap, "fan": "ef-1"}]))
    assert (told.split(":")[0], Machine.objects.filter(fan__tag="EF-1").count()) == (
        "/actions/1/machine", 1,
    )  # fmt: skip


def test_machine_when_a_plate_field_is_empty_then_it_is_taken_as_left_out() -> None:
    plate = {"model": "", "serial": "B7", "power_hp": ""}
    log(actions=[{"fan": "EF-1", "kind": "replaced", "item": "machine", "machine": plate}])
    new = Machine.objects.get(fan__tag="EF-1", removed_on=None)
    assert (new.model, new.serial, new.power_hp) == ("", "B7", None)


def test_machine_when_replacement_is_told_late_then_later_checks_see_the_new_one() -> None:
    log(check(readings={"amps_a": 4}), on="2026-04-01")
    plate = {"volts": "230", "full_load_amps": "6.4"}
    swap = {"fan": "EF-1", "kind": "replaced", "item": "machine", "machine": plate}
    log(on="2026-03-01", actions=[swap])
    late = Check.objects.get(visit__local_on="2026-04-01")
    assert (late.machine.full_load_amps, late.judged) == ("6.4", {"amps": "within"})


def test_feed_when_changed_then_each_check_is_judged_by_the_one_of_its_day() -> None:
    Feed.objects.create(
        fan=Fan.objects.get(tag="EF-1"), valid_from="2026-03-10", connected_volts="460",
        connected_confirmed=True,
    )  # fmt: skip
    days = ("2026-03-09", "2026-03-10")
    recorded = [log(check(readings={"volts_ab": 230}), on=on) for on in days]
    assert [dict(r.checks[0].row.judged) for r in recorded] == [
        {"volts": "within"}, {"volts": "act"},
    ]  # fmt: skip


def test_id_when_used_by_another_finding_then_refused() -> None:
    finding = {"id": str(uuid4()), "fan": "EF-1", "item": "belt", "severity": "degraded"}
    log(findings=[finding])
    assert complaints(visit(findings=[finding]))[0].startswith("/findings/0/id: this id is taken")
