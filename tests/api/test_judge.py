"""Readings judged for the asking: the same verdicts as when they are logged, and nothing stored."""

from __future__ import annotations

from typing import Any

import pytest
from django.apps import apps
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fleet.models import Person
from fleet.quantities import CONTEXT, MEASURED, QUALIFIERS, SEEN
from tests.api.asking import V1, by_key, faults, nobody
from tests.people import Roofs
from tests.visits.roofs import WITHIN

JUDGE = f"{V1}/judge"
pytestmark = [pytest.mark.django_db, pytest.mark.once]
PLATE = {
    "motor_type": "three_phase", "phases": 3, "volts": "208-230/460",
    "full_load_amps": "3.3-3.2/1.6", "service_factor": 1.15, "unreadable": ["frame"],
}  # fmt: skip
FEED = {"connected_volts": "230", "connected_confirmed": True, "service_volts": 230}
ASKED = {
    "readings": {"volts_ab": 231, "volts_bc": "229 V", "volts_ca": 222, "amps_a": "3.1 A"},
    "seen": {"hinge": "loose"}, "plate": PLATE, "feed": FEED,
}  # fmt: skip


def judged(person: Person, asked: Any = None) -> Any:
    return by_key(person).post(JUDGE, ASKED if asked is None else asked)


@pytest.mark.parametrize("who", ["dana", "theo", "olga", "sam"])
def test_readings_when_judged_then_by_whoever_asks(
    who: str, request: pytest.FixtureRequest
) -> None:
    told = judged(request.getfixturevalue(who)).json()
    found = {each["subject"]: each["verdict"] for each in told["judgements"]}
    # NEMA MG-1 14.36: (227.33 - 222) / 227.33 = 2.3 %, above 2 %; from memory.
    assert (found["volts"], found["volts_unbalance"], found["hinge"], told["worst"]) == (
        "within", "act", "watch", "act",
    )  # fmt: skip


def test_plate_and_feed_when_sent_as_the_register_tells_them_then_taken(
    roofs: Roofs, theo: Person
) -> None:
    roofs.bakery.feeds.create(**FEED)
    roofs.bakery.machines.update(**{**PLATE, "unreadable": ["frame"]})
    fan = by_key(theo).get(f"{V1}/fans/{roofs.bakery.pk}").json()
    told = judged(theo, {**ASKED, "plate": fan["machine"], "feed": fan["feeds"][0]})
    assert (told.status_code, told.json()) == (200, judged(theo).json())


def test_readings_when_judged_by_nobody_then_401(db: None) -> None:
    assert nobody().post(JUDGE, ASKED).status_code == 401


def test_readings_when_judged_then_no_row_of_any_table_changes(theo: Person) -> None:
    def rows() -> dict[str, list[Any]]:
        return {
            model._meta.label: list(model._base_manager.order_by("pk").values_list())
            for model in apps.get_models()
        }

    client = by_key(theo)
    before = rows()
    with CaptureQueriesContext(connection) as asked:
        client.post(JUDGE, ASKED)
    verbs = {each["sql"].split()[0] for each in asked.captured_queries}
    assert (rows() == before, verbs) == (True, {"SELECT"})


@pytest.mark.parametrize(("qualified", "codes"), [(False, 1), (True, 0)])
def test_live_readings_when_asked_by_somebody_not_qualified_then_cautioned(
    qualified: bool, codes: int, theo: Person
) -> None:
    Person.objects.update(qualified_energised_work=qualified)
    assert len(judged(theo).json()["cautions"]) == codes


def test_walk_when_judged_then_no_caution(theo: Person) -> None:
    assert judged(theo, {"seen": WITHIN}).json()["cautions"] == []


def test_nothing_when_judged_then_nothing_told(theo: Person) -> None:
    assert judged(theo, {}).json() == {"worst": "", "judgements": [], "cautions": []}


@pytest.mark.parametrize(
    ("asked", "pointers"),
    [
        ([], ["#"]), ({"reading": {}}, ["#/reading"]),
        ({"plate": {"colour": "red"}}, ["#/plate/colour"]),
        ({"plate": {"service_factor": "1.15"}}, ["#/plate/service_factor"]),
        ({"feed": {"control": "knob"}}, ["#/feed/control"]),
        ({"readings": {"volts": 1}, "seen": {"hinge": "blue"}},
         ["#/readings/volts", "#/seen/hinge"]),
        ({"context": {"vibration_hz": 1e9}}, ["#/context/vibration_hz"]),
        ({"readings": []}, ["#/readings"]),
        ({"readings": {"volts_ab": "x"}, "plate": {"phases": 7}, "feed": {"poles": "3"}},
         ["#/readings/volts_ab", "#/plate/phases", "#/feed/poles"]),
    ],
)  # fmt: skip
def test_question_when_it_makes_no_sense_then_pointed_at(
    asked: Any, pointers: list[str], theo: Person
) -> None:
    answer = judged(theo, asked)
    assert (answer.status_code, faults(answer)) == (400, pointers)


NUMBERS = st.sampled_from([0, 5e-324, 1e-9, 1, 60, 1e6, 1e12]) | st.floats(0, 500)
READINGS = st.fixed_dictionaries(
    {},
    optional={
        each.name: st.fixed_dictionaries(
            {}, optional={
                "value": NUMBERS | st.sampled_from([each.low, each.high]),
                "unit": st.sampled_from(each.accepted), "qualifier": st.sampled_from(QUALIFIERS),
            },
        )
        for each in MEASURED
    },
)  # fmt: skip
RATINGS = st.sampled_from(["", "230", "208-230/460", "?/460", "3.3-3.2/1.6", "0", "-/-", "1e9"])
WORDS = st.fixed_dictionaries(
    {
        "readings": READINGS,
        "seen": st.fixed_dictionaries(
            {}, optional={each.name: st.sampled_from(each.state_codes) for each in SEEN}
        ),
        "context": st.fixed_dictionaries(
            {}, optional={
                each.name: st.sampled_from(each.choices) if each.choices else NUMBERS
                for each in CONTEXT
            },
        ),
        "plate": st.fixed_dictionaries(
            {}, optional={
                "motor_type": st.sampled_from(["three_phase", "psc", "ec", "other", ""]),
                "phases": st.sampled_from([1, 3, None]), "volts": RATINGS,
                "full_load_amps": RATINGS, "drive": st.sampled_from(["belt", "direct"]),
                **dict.fromkeys(
                    ("power_hp", "speed_rpm", "service_factor", "capacitor_uf", "ambient_c",
                     "temperature_rise_c", "capacitor_tolerance_percent"), NUMBERS | st.none(),
                ),
                "mounting": st.sampled_from(["rigid", "flexible", ""]),
            },
        ),
        "feed": st.fixed_dictionaries(
            {}, optional={
                "control": st.sampled_from(["none", "triac", "drive", "drive_bypassed"]),
                "connected_volts": RATINGS, "service_volts": NUMBERS | st.none(),
            },
        ),
    }
)  # fmt: skip


@given(asked=WORDS)
@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_question_when_strange_then_judged_or_refused_but_never_our_fault(
    asked: Any, theo: Person
) -> None:
    assert judged(theo, asked).status_code in (200, 400)


def test_limit_when_told_then_without_the_noise_of_binary_figures(theo: Person) -> None:
    # Rules B: 0.9 x 208 V, which binary floating point makes 187.20000000000002.
    asked = {
        "readings": {"volts_ab": 180, "volts_bc": 181, "volts_ca": 182},
        "plate": {"motor_type": "three_phase", "volts": "208"},
        "feed": {"connected_volts": "208", "connected_confirmed": True},
    }
    judged = by_key(theo).post(JUDGE, asked).json()["judgements"]
    assert {each["limit"] for each in judged if each["subject"] == "volts"} == {187.2}
