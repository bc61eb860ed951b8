"""Rule 6 by examples worked out by hand from the rules."""

from __future__ import annotations

import pytest

from schedules.engine.record import Action, Decision, Noted
from tests.engine.fans import day, days, fan, rule_date, seen

SEEN = "2025-03-01"


def done(kind: str, on: str, item: str = "hinge", minute: int | None = None) -> Action:
    return Action(kind, item, day(on), minute)


def said(answer: str, on: str, subject: str = "hinge") -> Decision:
    return Decision(subject, answer, day(on))


def noted(verdict: str, on: str, recheck: str = "", closed: str = "", **facts: object) -> Noted:
    later = {"recheck_day": day(recheck) if recheck else None}
    later["closed_day"] = day(closed) if closed else None
    return Noted("hinge", "hinge", verdict, day(on), **later, **facts)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("verdict", "dates"),
    [
        ("within", None),
        ("cannot_judge", None),
        ("watch", ("2025-03-31", "2025-04-03")),
        ("act", ("2025-03-15", "2025-03-18")),
        ("stop", ("2025-03-01", "2025-03-01")),
    ],
)
def test_follow_up_when_fault_seen_then_days_by_verdict(
    verdict: str, dates: tuple[str, str] | None
) -> None:
    assert days(fan(looks=(seen(SEEN, {"hinge": verdict}),)), 6) == dates


@pytest.mark.parametrize("minute", [None, 600])
@pytest.mark.parametrize("better", ["within", "watch"])
def test_follow_up_when_two_checks_are_of_one_moment_then_the_worse_counts_in_any_order(
    better: str, minute: int | None
) -> None:
    looks = [seen(SEEN, {"hinge": verdict}, minute=minute) for verdict in ("stop", better)]
    for order in (looks, looks[::-1]):
        assert days(fan(looks=tuple(order)), 6) == (SEEN, SEEN)


def test_follow_up_when_of_one_moment_the_worse_is_lasting_then_it_still_lasts() -> None:
    looks = [
        seen(SEEN, {"noise": "watch"}, lasting=frozenset({"noise"})),
        seen(SEEN, {"noise": "within"}),
        seen("2025-03-08", {"noise": "watch"}),
    ]
    assert days(fan(looks=tuple(looks)), 6) is None


def test_follow_up_when_only_as_left_at_fault_then_nothing_opens() -> None:
    assert days(fan(looks=(seen(SEEN, {"hinge": "act"}, stage="as_left"),)), 6) is None


@pytest.mark.parametrize("subject", ["vibration", "vibration_felt", "vibration_motor_radial"])
def test_follow_up_when_vibration_at_fault_then_left_to_rule_five(subject: str) -> None:
    assert days(fan(looks=(seen(SEEN, {subject: "act"}),)), 6) is None


# A second sight of a hinge found at act on 1 March.
@pytest.mark.parametrize(
    ("again", "dates"),
    [
        ({"hinge": "within"}, None),
        ({"hinge": "watch"}, ("2025-04-09", "2025-04-12")),
        ({"hinge": "act"}, ("2025-03-24", "2025-03-27")),
        ({"hinge": "stop"}, ("2025-03-10", "2025-03-10")),
        ({"hinge": "cannot_judge"}, ("2025-03-15", "2025-03-18")),
        ({"curb": "within"}, ("2025-03-15", "2025-03-18")),
    ],
)
@pytest.mark.parametrize("stage", ["as_found", "as_left"])
def test_follow_up_when_seen_again_then_last_look_counts(
    again: dict[str, str], dates: tuple[str, str] | None, stage: str
) -> None:
    looks = (seen(SEEN, {"hinge": "act"}), seen("2025-03-10", again, stage=stage))
    assert days(fan(looks=looks), 6) == dates


@pytest.mark.parametrize("kind", ["repaired", "replaced", "adjusted", "cleaned"])
@pytest.mark.parametrize("on", [SEEN, "2025-03-05"])
def test_follow_up_when_worked_on_then_settled(kind: str, on: str) -> None:
    looks = (seen(SEEN, {"catch": "act"}),)
    assert days(fan(looks=looks, actions=(done(kind, on, "catch"),)), 6) is None


def test_follow_up_when_item_of_the_subject_was_repaired_then_settled() -> None:
    looks = (seen(SEEN, {"motor_vents": "act"}),)
    assert days(fan(looks=looks, actions=(done("cleaned", SEEN, "motor"),)), 6) is None


@pytest.mark.parametrize(
    ("item", "dates"),
    [("motor", None), ("bearings", None), ("belt", None), ("switch", (SEEN, SEEN))],
)
@pytest.mark.parametrize("kind", ["replaced", "cleaned"])
def test_follow_up_when_the_machine_was_replaced_then_its_parts_are_settled_no_others(
    kind: str, item: str, dates: tuple[str, str] | None
) -> None:
    found = Noted(item, item, "stop", day(SEEN))
    given = days(fan(noted=(found,), actions=(done(kind, SEEN, "machine"),)), 6)
    assert given == (dates if kind == "replaced" else (SEEN, SEEN))


def test_follow_up_when_repaired_before_the_look_then_still_open() -> None:
    looks = (seen(SEEN, {"hinge": "act"}, minute=600),)
    actions = (done("repaired", SEEN, minute=540),)
    assert days(fan(looks=looks, actions=actions), 6) == ("2025-03-15", "2025-03-18")


def test_follow_up_when_left_at_fault_after_repair_then_still_open() -> None:
    looks = (seen(SEEN, {"hinge": "stop"}), seen(SEEN, {"hinge": "act"}, stage="as_left"))
    record = fan(looks=looks, actions=(done("repaired", SEEN),))
    assert days(record, 6) == ("2025-03-15", "2025-03-18")


def test_follow_up_when_repaired_temporarily_then_two_weeks_from_then() -> None:
    looks = (seen(SEEN, {"hinge": "watch"}),)
    record = fan(looks=looks, actions=(done("temporary", "2025-03-03"),))
    assert days(record, 6) == ("2025-03-17", "2025-03-20")


def test_follow_up_when_left_within_by_a_temporary_repair_then_still_open() -> None:
    looks = (seen(SEEN, {"hinge": "act"}), seen(SEEN, {"hinge": "within"}, stage="as_left"))
    record = fan(looks=looks, actions=(done("temporary", SEEN),))
    assert days(record, 6) == ("2025-03-15", "2025-03-18")


def test_follow_up_when_seen_after_a_temporary_repair_then_the_look_counts() -> None:
    looks = (seen(SEEN, {"hinge": "act"}), seen("2025-03-10", {"hinge": "watch"}))
    record = fan(looks=looks, actions=(done("temporary", SEEN),))
    assert days(record, 6) == ("2025-04-09", "2025-04-12")


@pytest.mark.parametrize(
    ("verdict", "dates"),
    [
        ("watch", ("2025-04-30", "2025-05-03")),
        ("act", ("2025-03-29", "2025-04-01")),
        ("stop", ("2025-03-01", "2025-03-01")),
    ],
)
def test_follow_up_when_owner_declined_then_days_double(
    verdict: str, dates: tuple[str, str]
) -> None:
    looks = (seen(SEEN, {"hinge": verdict}),)
    assert days(fan(looks=looks, decisions=(said("declined", SEEN),)), 6) == dates


def test_follow_up_when_declined_and_temporary_then_four_weeks() -> None:
    looks = (seen(SEEN, {"hinge": "act"}),)
    actions, decisions = (done("temporary", "2025-03-03"),), (said("declined", "2025-03-04"),)
    record = fan(looks=looks, actions=actions, decisions=decisions)
    assert days(record, 6) == ("2025-03-31", "2025-04-03")


def test_follow_up_when_declined_before_it_opened_then_no_matter() -> None:
    looks = (seen(SEEN, {"hinge": "act"}),)
    record = fan(looks=looks, decisions=(said("declined", "2025-02-28"),))
    assert days(record, 6) == ("2025-03-15", "2025-03-18")


def test_follow_up_when_worse_after_declined_then_days_are_single_again() -> None:
    looks = (seen(SEEN, {"hinge": "watch"}), seen("2025-03-10", {"hinge": "act"}))
    record = fan(looks=looks, decisions=(said("declined", "2025-03-02"),))
    assert days(record, 6) == ("2025-03-24", "2025-03-27")


def test_follow_up_when_own_date_was_set_then_it_holds() -> None:
    record = fan(noted=(noted("act", SEEN, recheck="2025-06-01"),))
    assert days(record, 6) == ("2025-06-01", "2025-06-04")


@pytest.mark.parametrize(
    ("again", "dates"),
    [
        ("2025-05-31", ("2025-06-01", "2025-06-04")),
        ("2025-06-01", ("2025-06-15", "2025-06-18")),
    ],
)
def test_follow_up_when_seen_again_then_own_date_holds_until_its_day(
    again: str, dates: tuple[str, str]
) -> None:
    record = fan(
        looks=(seen(again, {"hinge": "act"}),), noted=(noted("act", SEEN, recheck="2025-06-01"),)
    )
    assert days(record, 6) == dates


def test_follow_up_when_closed_with_a_reason_then_settled() -> None:
    looks = (seen(SEEN, {"hinge": "act"}),)
    record = fan(looks=looks, noted=(noted("act", SEEN, closed="2025-03-20"),))
    assert days(record, 6) is None


def test_follow_up_when_seen_after_closing_then_open_again() -> None:
    looks = (seen("2025-03-21", {"hinge": "act"}),)
    record = fan(looks=looks, noted=(noted("act", SEEN, closed="2025-03-20"),))
    assert days(record, 6) == ("2025-04-04", "2025-04-07")


def test_follow_up_when_state_has_its_own_days_then_they_count() -> None:
    look = seen(SEEN, {"hinge": "watch"}, recheck_days={"hinge": 7})
    assert days(fan(looks=(look,)), 6) == ("2025-03-08", "2025-03-11")


LASTING = frozenset({"volts"})


def test_follow_up_when_fault_is_lasting_then_silent_ever_after() -> None:
    first = seen(SEEN, {"volts": "act"}, lasting=LASTING)
    assert days(fan(looks=(first, seen("2025-04-01", {"volts": "act"}))), 6) is None


def test_follow_up_when_lasting_fault_turns_worse_then_opens() -> None:
    first = seen(SEEN, {"volts": "watch"}, lasting=LASTING)
    record = fan(looks=(first, seen("2025-04-01", {"volts": "act"})))
    assert days(record, 6) == ("2025-04-15", "2025-04-18")


@pytest.mark.parametrize("stage", ["as_found", "as_left"])
def test_follow_up_when_lasting_fault_was_seen_within_then_the_next_is_new(stage: str) -> None:
    first = seen(SEEN, {"volts": "act"}, lasting=LASTING)
    better = seen("2025-03-10", {"volts": "within"}, stage=stage)
    record = fan(looks=(first, better, seen("2025-04-01", {"volts": "watch"})))
    assert days(record, 6) == ("2025-05-01", "2025-05-04")


def test_follow_up_when_lasting_fault_is_left_worse_then_it_is_open() -> None:
    first = seen(SEEN, {"volts": "watch"}, lasting=LASTING)
    record = fan(looks=(first, seen(SEEN, {"volts": "act"}, stage="as_left")))
    assert days(record, 6) == ("2025-03-15", "2025-03-18")


def test_follow_up_when_lasting_fault_is_worked_on_but_left_the_same_then_still_lasting() -> None:
    looks = (
        seen(SEEN, {"volts": "watch"}, lasting=LASTING),
        seen("2025-03-10", {"volts": "watch"}, stage="as_left"),
        seen("2025-04-01", {"volts": "watch"}),
    )
    assert days(fan(looks=looks, actions=(done("adjusted", "2025-03-10", "volts"),)), 6) is None


def test_follow_up_when_stop_is_called_lasting_then_it_is_not() -> None:
    record = fan(looks=(seen(SEEN, {"volts": "stop"}, lasting=LASTING),))
    assert days(record, 6) == (SEEN, SEEN)


def test_follow_up_when_several_are_open_then_earliest_day_then_worst_names_it() -> None:
    looks = (
        seen("2025-03-01", {"hinge": "watch", "curb": "watch"}),
        seen("2025-03-17", {"cable": "act"}),
    )
    found = rule_date(fan(looks=looks), 6)
    assert found is not None
    assert (found.args["verdict"], found.args["open_count"]) == (3, 3)
