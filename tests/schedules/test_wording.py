"""Every rule's date as a sentence: days, units, hedged causes, plain limits, what is missing."""

from __future__ import annotations

from datetime import date

import pytest
from django.utils import translation

from fleet.quantities import GREASE_PLACES, VERDICT_ORDER
from schedules.engine import after_event
from schedules.engine.codes import COOKING, SUBJECTS
from schedules.engine.record import RuleDate
from schedules.engine.rules import RULE_MODULES
from schedules.engine.vibration import POINTS
from schedules.engine.vibration_step import EVENT_KINDS
from schedules.wording import (
    day_text,
    days_left_text,
    every_months,
    explain,
    fault_sentence,
    rule_name,
    rule_sentence,
    short_day,
    untold_sentence,
    week_text,
    when_text,
)
from schedules.wording.untold import UNTOLD
from schedules.wording.vibration import Measured

MARCH_3 = date(2026, 3, 3).toordinal()
ODDS = {
    "losses": 3, "watched_years": 2.41, "rate_a_year": 0.6964, "prior_a_year": 0.3,
    "share": 0.6, "odds": 0.1, "days": 87, "wait_days": 87, "walked_day": MARCH_3,
}  # fmt: skip
ARGS: dict[int, dict[str, float]] = {
    1: {"last_day": MARCH_3, "base_months": 2, "months": 2, "condition": 1, "reliability": 1},
    2: {"anchor_day": MARCH_3, "months": 3, "count": 1, "class": COOKING.index("high")},
    3: {"interval_h": 2000, "done_day": MARCH_3, "never_done": 0, "meter": 0},
    4: {
        "place": GREASE_PLACES.index("housing"),
        "last_day": MARCH_3,
        "last_depth_um": 1900,
        "limit_um": 3175,
        "slope_um_d": 21.46,
        "crossing_day": MARCH_3 + 60,
        "readings": 2,
    },
    5: {
        "point": POINTS.index("motor_radial"),
        "verdict": VERDICT_ORDER["act"],
        "value_mm_s": 4.8,
        "limit_mm_s": 4.5,
        "seen_day": MARCH_3,
        "nth": 1,
        "event_kind": 0,
        "slope_mm_s_d": 0.02,
        "crossing_day": MARCH_3 + 60,
        "readings": 6,
    },
    6: {
        "subject": SUBJECTS.index("hinge"),
        "verdict": VERDICT_ORDER["watch"],
        "seen_day": MARCH_3,
        "declined": 0,
        "open_count": 1,
    },
    7: {"event_day": MARCH_3, "by_hours": 1},
    8: ODDS,
    9: {"made_safe_day": MARCH_3, "promised_day": MARCH_3 + 4},
}


def told(rule: int, why: str, **args: float) -> RuleDate:
    """A rule's date due on 3 May with the usual arguments, changed as given."""
    return RuleDate(rule, MARCH_3 + 61, MARCH_3 + 75, why, {**ARGS[rule], **args})


ALL = [(rule.number, why) for rule in RULE_MODULES for why in rule.whys if why]


@pytest.mark.parametrize(("rule", "why"), ALL)
def test_every_reason_of_every_rule_has_a_whole_sentence(rule: int, why: str) -> None:
    sentence = rule_sentence(told(rule, why, not_before_day=MARCH_3 + 65))
    assert (sentence[0].isupper(), sentence[-1], "{" in sentence, "_" in sentence) == (
        True,
        ".",
        False,
        False,
    )


@pytest.mark.parametrize("code", [c for r in RULE_MODULES for c in r.cannot_tells if c])
def test_everything_that_cannot_be_told_says_what_to_record(code: str) -> None:
    assert (code in UNTOLD, "record" in untold_sentence(code)) == (True, True)


SENTENCES = [
    (
        told(1, "interval"),
        "Walk-through: last complete one Tue 3 Mar 2026; average condition, every 2 months.",
    ),
    (
        told(1, "interval", months=0.5, condition=0),
        "Walk-through: last complete one Tue 3 Mar 2026; poor condition, every half month.",
    ),
    (told(1, "never_seen"), "Walk-through: no complete one on record yet."),
    (
        told(2, "class", months=1, **{"class": COOKING.index("solid_fuel")}),
        "Code inspection: solid fuel, every month, counted from Tue 3 Mar 2026.",
    ),
    (
        told(3, "maker_interval", meter=1, known_hours=1650.2, known_day=MARCH_3 + 90),
        "Bearings: regrease every 2000 h of running (the maker's interval), counted from "
        "Tue 3 Mar 2026; by the meter 1650 h had run on Mon 1 Jun 2026.",
    ),
    (
        told(3, "maker_interval", meter=3, known_hours=1650.2, known_day=MARCH_3 + 90),
        "Bearings: regrease every 2000 h of running (the maker's interval), counted from "
        "Tue 3 Mar 2026; by the meter, and the kitchen's hours outside its readings, 1650 h had "
        "run on Mon 1 Jun 2026.",
    ),
    (
        told(4, "line"),
        "Grease in the fan housing: 1900 µm (0.075 in) on Tue 3 Mar 2026, growing about 21 µm a "
        "day (by the line through the readings); so it would reach 3175 µm (0.125 in) about "
        "Sat 2 May 2026: have it cleaned before then.",
    ),
    (
        told(4, "at_limit", place=GREASE_PLACES.index("duct"), last_depth_um=2100, limit_um=2000),
        "Grease in the duct: 2100 µm (0.083 in) on Tue 3 Mar 2026, at or over the limit of "
        "2000 µm (0.079 in); it needs cleaning.",
    ),
    (told(6, "open"), "Hinge: watch. Last seen Tue 3 Mar 2026; look at it again."),
    (told(7, "hood_cleaning"), "A look after the hood cleaning of Tue 3 Mar 2026."),
    (
        told(8, "assumed_prior"),
        "Failure odds: 3 losses of function in 2.4 years on record. Together with 0.3 a year, "
        "assumed since too few fans of its drive are on record (our choice), that makes about "
        "0.7 a year, 60 % of them such as a visit can prevent. The odds of one of these reach 10 % "
        "after 87 days, counted from the last complete walk-through, Tue 3 Mar 2026.",
    ),
    (
        told(8, "fitted_prior", prior_fans=412, prior_a_year=0.2149, wait_days=61),
        "Failure odds: 3 losses of function in 2.4 years on record. Together with the fans of its "
        "drive on record, 0.21 a year, that makes about 0.7 a year, 60 % of them such as a visit "
        "can prevent. The odds of one of these reach 10 % after 87 days, counted from the "
        "last complete walk-through, Tue 3 Mar 2026; the walk-through's own interval of 61 days "
        "ends before.",
    ),
    (
        told(9, "promised"),
        "Out of service since Tue 3 Mar 2026; restart promised for Sat 7 Mar 2026. A full "
        "walk-through before it runs.",
    ),
]


@pytest.mark.parametrize(("date", "sentence"), SENTENCES)
def test_sentence_when_read_then_days_units_and_evidence_stand_in_it(
    date: RuleDate, sentence: str
) -> None:
    assert rule_sentence(date) == sentence


def test_open_finding_with_its_reading_says_the_reading_first() -> None:
    sentence = rule_sentence(told(6, "open"), "Hinge: loose.")
    assert sentence == "Hinge: loose. Last seen Tue 3 Mar 2026; look at it again."


def test_open_stop_says_what_must_be_done_and_what_that_means() -> None:
    sentence = rule_sentence(told(6, "open", verdict=VERDICT_ORDER["stop"]))
    assert sentence == (
        "Hinge: stop. Found Tue 3 Mar 2026: repair it or make the fan safe. "
        "A stopped fan means cooking stops."
    )


VIBRATION = [
    (
        told(5, "level"),
        "Vibration (motor, radial): 4.8 mm/s rms, at or above the alarm, 4.5 mm/s rms. "
        "Read Tue 3 Mar 2026; look again, and have it repaired.",
    ),
    (
        told(5, "level", nth=2),
        "Vibration (motor, radial): 4.8 mm/s rms, at or above the alarm, 4.5 mm/s rms. "
        "First read Tue 3 Mar 2026 and standing since: look number 2; the repair is owed.",
    ),
    (
        told(
            5, "step", limit_mm_s=2.1, nth=0, event_kind=EVENT_KINDS.index("hood_cleaning_tipped"),
            event_day=MARCH_3 - 2,
        ),
        "Vibration (motor, radial) stepped up from 2.1 mm/s rms to 4.8 mm/s rms on "
        "Tue 3 Mar 2026, after the hood cleaning of Sun 1 Mar 2026, for which the fan was tipped. "
        "Look again, first at how it sits, its gap and its wheel; the cause is not determined.",
    ),
    (
        told(5, "step", limit_mm_s=2.1, nth=0),
        "Vibration (motor, radial) stepped up from 2.1 mm/s rms to 4.8 mm/s rms on Tue 3 Mar 2026. "
        "Look again.",
    ),
    (
        told(5, "step", limit_mm_s=2.1, nth=1),
        "Vibration (motor, radial) stepped up from 2.1 mm/s rms to 4.8 mm/s rms on Tue 3 Mar 2026. "
        "Look again. It reached the alarm: have it repaired.",
    ),
    (
        told(5, "trend", value_mm_s=3.12),
        "Vibration (motor, radial) rises over 6 readings: about 3.12 mm/s rms on Tue 3 Mar 2026, "
        "up to 0.6 mm/s rms more a month; so it could reach the alarm, 4.5 mm/s rms, about "
        "Sat 2 May 2026.",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("date", "sentence"), VIBRATION)
def test_vibration_when_read_then_figures_limit_and_what_came_before(
    date: RuleDate, sentence: str
) -> None:
    assert rule_sentence(date, measured=Measured(detector="rms")) == sentence


def test_vibration_when_typed_in_inches_then_said_in_inches() -> None:
    # 2.54 mm/s is 0.1 in/s by the definition of the inch.
    step = told(5, "step", limit_mm_s=2.54, value_mm_s=6.35)
    assert "from 0.1 in/s peak to 0.25 in/s peak" in rule_sentence(
        step, measured=Measured("in/s", "peak")
    )


def test_vibration_felt_has_no_figure() -> None:
    felt = RuleDate(
        5, MARCH_3, MARCH_3, "level", {"point": 0, "verdict": 4, "seen_day": MARCH_3, "nth": 1}
    )
    assert rule_sentence(felt) == (
        "Vibration (by hand): stop. Read Tue 3 Mar 2026: repair it or make the fan safe. "
        "A stopped fan means cooking stops."
    )


def test_temporary_repair_never_sounds_like_a_solved_problem() -> None:
    assert "a lasting repair is owed" in rule_sentence(told(6, "temporary"))


def test_declined_finding_with_others_open_says_both() -> None:
    sentence = rule_sentence(told(6, "open", declined=1, open_count=3))
    assert sentence.endswith(
        "The owner declined the repair: the fault stands, looks come half as often. "
        "2 more findings are open."
    )


def test_meter_set_aside_is_said() -> None:
    assert "set aside" in rule_sentence(told(3, "maker_interval", meter=2))


def test_new_belt_without_running_hours_says_so() -> None:
    assert "running hours are not on record" in rule_sentence(told(7, "new_belt", by_hours=0))


@pytest.mark.parametrize(
    ("count", "ending"), [(2, "."), (3, ". One more such look is owed."),
                          (4, ". 2 more such looks are owed.")]
)  # fmt: skip
def test_look_after_an_event_with_others_owed_names_the_next(count: int, ending: str) -> None:
    belt = {"next_kind": 4, "next_day": MARCH_3 + 1, "next_due_day": MARCH_3 + 5}
    assert rule_sentence(told(7, "storm", owed_count=count, **belt)) == (
        "A look after the storm of Tue 3 Mar 2026. Also owed, by Sun 8 Mar 2026: a look at the "
        f"new belt of Wed 4 Mar 2026{ending}"
    )


@pytest.mark.parametrize("kind", range(1, len(after_event.whys)))
def test_every_look_owed_as_well_has_words(kind: int) -> None:
    owed = {"owed_count": 2, "next_kind": kind, "next_day": MARCH_3, "next_due_day": MARCH_3}
    assert "_" not in rule_sentence(told(7, "storm", **owed))


def test_waiting_for_a_cleaning_says_until_when() -> None:
    sentence = rule_sentence(told(1, "after_expected_cleaning", not_before_day=MARCH_3 + 65))
    assert sentence.endswith(
        "It waits for the expected hood cleaning, so not before Thu 7 May 2026."
    )


def test_explained_date_gives_name_days_and_where_its_numbers_come_from() -> None:
    explained = explain(told(2, "class"))
    assert (explained.name, explained.when, "NFPA 96" in explained.basis) == (
        "Code inspection",
        "Due Sun 3 May 2026, overdue after Sun 17 May 2026.",
        True,
    )


def test_a_rule_without_grace_is_overdue_the_day_after() -> None:
    same = RuleDate(2, MARCH_3, MARCH_3, "class", ARGS[2])
    assert when_text(same) == "Due Tue 3 Mar 2026; overdue the day after."


def test_fault_says_what_it_was_and_whom_to_ask() -> None:
    sentence = fault_sentence("ValueError: no such day")
    assert ("ValueError: no such day" in sentence, "tell whoever" in sentence) == (True, True)


@pytest.mark.parametrize("number", range(1, 10))
def test_every_rule_has_a_name(number: int) -> None:
    assert not rule_name(number).isdigit()


@pytest.mark.parametrize(
    ("months", "words"),
    [
        (0.5, "every half month"),
        (1, "every month"),
        (1.5, "every 1.5 months"),
        (4, "every 4 months"),
    ],
)
def test_interval_when_said_then_as_people_say_it(months: float, words: str) -> None:
    assert every_months(months) == words


@pytest.mark.parametrize(
    ("days", "words"), [(0, "today"), (1, "in 1 day"), (5, "in 5 days"), (-13, "13 days ago")]
)
def test_distance_when_said_then_before_and_after_differ(days: int, words: str) -> None:
    assert days_left_text(days) == words


def test_short_day_names_its_year_only_where_it_is_another() -> None:
    today = date(2026, 12, 30)
    days = [short_day(day, today) for day in (date(2026, 12, 31), date(2027, 1, 1))]
    assert days == ["Thu 31 Dec", "Fri 1 Jan 2027"]


def test_day_in_spanish_is_spanish() -> None:
    # Written out, for "mar 3 mar" says little: CLDR's full date of es-MX without its comma.
    with translation.override("es"):
        assert day_text(date(2026, 3, 3)) == "martes 3 de marzo de 2026"


def test_week_hours_when_days_are_alike_then_they_are_one_run() -> None:
    weekdays, saturday = [[420, 900]], [[480, 720], [1080, 1560]]
    assert week_text([*[weekdays] * 5, saturday, []]) == (
        "Mon–Fri 7:00–15:00; Sat 8:00–12:00, 18:00–2:00"
    )
