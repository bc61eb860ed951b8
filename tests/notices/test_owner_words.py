"""No sentence that a letter may quote to an owner is shop talk, and none is missing."""

from __future__ import annotations

import datetime as dt
import re

import pytest

from fleet.models import Fan
from fleet.quantities import LIMIT_SUBJECTS, QUANTITIES, SEEN, VERDICT_ORDER, item_of
from schedules.due.evidence import Note
from schedules.due.lines import DueLine
from schedules.due.lists import DueFilters, due_page
from schedules.due.local_days import same_day
from schedules.due.reckoning import reckon_fleet
from schedules.engine.codes import SUBJECTS
from schedules.engine.record import RuleDate
from schedules.models import DueState
from schedules.wording.owners import fan_told, seen_by_owner, told_to_owner
from schedules.wording.owners.vibration import vibration_told
from tests.schedules.fans import NOW, inspected, make_fan, walk
from tests.schedules.test_wording import ALL, ARGS, MARCH_3, told
from visits.limits.judgement import MEASURED_CODES
from visits.models import Action, Finding, MadeSafe, NotReached
from visits.wording import left_so, owner_subject
from visits.wording.owners import LEFT_SO, OWNER_MEASURED, OWNER_SEEN, OWNER_SUBJECTS

SHOP_TALK = re.compile(
    r"\b(to the owner|the owner's|make the fan safe|look number|as found|as left|as-found|lead zero"
    r"|sheave|setscrew|curb|plate's|commission|reckoned|walk-through|investigate|compare with"
    r"|find the cause|put it right, or|thermoplastic|multimeter|MΩ at)\b",
    re.IGNORECASE,
)
NOT_WITHIN = {
    "within", "none", "alike", "good", "present", "low", "not_above", "nothing_to_compare",
    "at_drive_input", "only_suggested", "within_on_lower_service", "not_in_table",
    "through_electronics", "not_comparable", "no_column",
}  # fmt: skip
"""Ends of codes of measured things that are within, or that cannot be judged."""
BAD_ALL_THE_SAME = {"volts.low", "capacitor.low", "insulation.low", "overload_present.none"}


def beyond_within() -> set[str]:
    """Every code of a measured thing that can open a finding."""
    judged = {code for code in MEASURED_CODES if "." in code}
    fine = {code for code in judged if code.partition(".")[2] in NOT_WITHIN}
    return judged - (fine - BAD_ALL_THE_SAME)


def states_beyond_within() -> set[str]:
    return {
        f"{item.name}.{state.code}"
        for item in SEEN
        for state in item.states
        if state.verdict not in (None, "within") and item.name != "overload_present"
    }


def test_measured_things_beyond_within_then_each_has_an_owners_sentence() -> None:
    assert set(OWNER_MEASURED) == beyond_within()


def test_seen_things_beyond_within_then_each_has_an_owners_sentence() -> None:
    assert set(OWNER_SEEN) - {"vibration_felt.slight_as_before"} == states_beyond_within()


def test_every_item_then_what_may_come_of_it_is_said() -> None:
    items = {item_of(subject) for subject in (*QUANTITIES, *LIMIT_SUBJECTS)}
    assert items <= set(LEFT_SO)


def test_every_subject_then_has_a_name_for_owners() -> None:
    named = {owner_subject(subject) for subject in SUBJECTS if subject}
    assert named <= {str(name) for name in OWNER_SUBJECTS.values()}


def test_what_may_come_of_it_then_hedged() -> None:
    certain = [item for item in (*LEFT_SO, "?") if "may" not in left_so(item)]
    # grease goes on growing, and an unwitnessed start is unknown: nothing there to hedge
    assert [item for item in certain if "can feed" not in left_so(item)] == ["fire_system"]


@pytest.mark.parametrize(("rule", "why"), ALL)
@pytest.mark.parametrize("more", [{}, {"verdict": VERDICT_ORDER["stop"], "nth": 2, "declined": 1}])
def test_every_reason_then_an_owner_reads_a_whole_sentence(
    rule: int, why: str, more: dict[str, float]
) -> None:
    known = {name: value for name, value in more.items() if name in ARGS[rule]}
    text = told_to_owner(told(rule, why, **known))
    assert text[0].isupper()
    assert text.endswith(".")
    assert not re.search(r"[{}]|None|nan", text)
    assert not SHOP_TALK.search(text)


@pytest.mark.parametrize("table", [OWNER_MEASURED, OWNER_SEEN, OWNER_SUBJECTS, LEFT_SO])
def test_tables_then_hold_no_shop_talk(table: dict[str, object]) -> None:
    assert [str(text) for text in table.values() if SHOP_TALK.search(str(text))] == []


@pytest.mark.parametrize("subject", [name for name in SUBJECTS if name])
@pytest.mark.parametrize("verdict", ["watch", "act", "stop"])
def test_note_then_what_it_is_about_and_not_the_colleagues_words(
    subject: str, verdict: str
) -> None:
    text = seen_by_owner(Note(subject, item_of(subject), verdict, "shot, tell nobody"))
    assert "shot" not in text
    assert text.endswith(".")


def line_of(fan: Fan) -> DueLine:
    reckon_fleet(now=NOW, only_stale=False)
    days = same_day(dt.date(2026, 9, 15), [fan.site.time_zone])
    return due_page(DueState.objects.all(), days=days, filters=DueFilters()).lines[0]


@pytest.mark.django_db
def test_fan_at_a_stop_then_said_once_and_first() -> None:
    fan = make_fan()
    inspected(fan)
    walk(fan, "2026-06-10", {"guard": "stop"}, guard="off")
    told = fan_told(line_of(fan))
    assert told.stop == (
        "The guard is off: moving parts are within reach. Found Wed 10 Jun 2026: the fan must not "
        "run until qualified people have put it right."
    )
    assert "guard" not in " ".join(told.reasons)


def patched() -> Fan:
    """Found with its guard off, which was tied on for the time being; its cable is worn."""
    fan = make_fan()
    inspected(fan)
    check = walk(fan, "2026-06-01", {"guard": "stop"}, guard="off")
    Action.objects.create(visit=check.visit, fan=fan, kind="temporary", item="guard")
    return fan


@pytest.mark.django_db
def test_fan_repaired_for_the_time_being_then_never_told_to_stand() -> None:
    line = line_of(patched())
    told = fan_told(line)
    assert (told.stop, line.may_run) == ("", True)
    assert told.reasons[0] == (
        "When found on Mon 1 Jun 2026: The guard is off: moving parts are within reach. It was "
        "then repaired for the time being; a lasting repair is still to be made."
    )


@pytest.mark.django_db
def test_fan_with_one_stop_repaired_and_another_not_then_the_other_stands_first() -> None:
    fan = patched()
    later = {"cable": "2026-07-01"}
    walk(fan, "2026-06-01", {"cable": "stop"}, cable="bare", recheck_days=later)
    line = line_of(fan)
    assert (line.driving.why, line.may_run) == ("temporary", False)  # type: ignore[union-attr]
    assert fan_told(line).stop.startswith("The fan's power cable shows bare conductors")


@pytest.mark.django_db
def test_fan_out_of_service_then_says_so_beside_its_stop() -> None:
    fan = make_fan()
    inspected(fan)
    check = walk(fan, "2026-06-10", {"guard": "stop"}, guard="off")
    MadeSafe.objects.create(visit=check.visit, fan=fan, told="Rosa Field")
    told = fan_told(line_of(fan))
    assert told.stop.endswith("within reach. The fan is out of service.")
    assert told.reasons[0].startswith("Out of service since Wed 10 Jun 2026, and no day is set")


@pytest.mark.django_db
def test_notes_of_colleagues_then_never_quoted() -> None:
    fan = make_fan()
    inspected(fan)
    check = walk(fan, "2026-06-10")
    facts = {"visit": check.visit, "fan": fan}
    Finding.objects.create(
        **facts,
        subject="curb",
        item="curb",
        severity="degraded",
        verdict="act",
        note="cook is rude",
    )
    NotReached.objects.create(**facts, item="hinge", reason="no_access", note="cook is rude")
    told = fan_told(line_of(fan))
    assert "rude" not in " ".join([told.stop, *told.reasons])
    assert (
        "On Wed 10 Jun 2026 our technician could not check the hinge on which the fan is tipped: "
        "no access."
    ) in told.reasons


def test_walk_through_then_in_the_owners_words() -> None:
    date = RuleDate(1, MARCH_3 + 61, MARCH_3 + 75, "interval", ARGS[1])
    assert told_to_owner(date) == (
        "Last inspected completely on Tue 3 Mar 2026; in its condition an inspection is due "
        "every 2 months."
    )


@pytest.mark.parametrize("verdict", ["watch", "act", "stop"])
@pytest.mark.parametrize("nth", [1, 2])
def test_vibration_when_a_hand_felt_it_then_nothing_is_said_to_be_measured(
    verdict: str, nth: int
) -> None:
    felt = {"verdict": VERDICT_ORDER[verdict], "seen_day": MARCH_3, "nth": nth}
    assert "easured" not in vibration_told(RuleDate(5, 0, 0, "level", felt))
