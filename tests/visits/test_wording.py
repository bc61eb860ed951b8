"""Sentences: one for every code, with its figures, in words of the trade."""

from __future__ import annotations

import re
from typing import Any

import pytest

from fleet.plates import Feed, Plate
from fleet.quantities import CONTEXT, LIMIT_SUBJECTS, QUANTITIES, SEEN
from visits.limits import CODES, Basis, Context, Judgement, Reading, judge
from visits.payload import visit as format_
from visits.wording import basis_words, figure, judgement_sentence, reading_text
from visits.wording.names import (
    ANSWERS,
    ITEMS,
    MISSING,
    REASONS,
    STATES,
    SUBJECTS,
    VISIT_KINDS,
    WORK,
    subject_words,
)
from visits.wording.sentences import BECAUSE, CANNOT, MEASURED
from visits.wording.sentences import SEEN as SEEN_SENTENCES

PLATE = Plate(
    motor_type="three_phase", volts="230/460", full_load_amps="3.2/1.6", power_hp=1.0,
    service_factor=1.15, drive="belt",
)  # fmt: skip
FEED = Feed(connected_volts="230", connected_confirmed=True, service_volts=208)
LISTS = {"volts", "legs", "poles", "values", "missing", "unreadable"}
TEXTS = {"detector", "unit", "place", "category", "mounting", "control", "because", "error"}


def sentences(readings: dict[str, Any], **context: Any) -> dict[str, str]:
    """The sentence of each judgement, by its code."""
    judged = judge(readings, plate=PLATE, feed=FEED, context=Context(**context))
    return {judgement.code: judgement_sentence(judgement) for judgement in judged}


def test_unreadable_part_of_a_plate_is_named_once() -> None:
    plate = Plate(motor_type="three_phase", full_load_amps="3.2", unreadable=frozenset({"volts"}))
    readings = {f"volts_{line}_v": Reading(208.0, "V") for line in ("ab", "bc", "ca")}
    judged = judge(readings, plate=plate, feed=Feed(), context=Context())
    said = [judgement_sentence(each) for each in judged if each.subject == "volts"]
    assert said == ["Cannot judge volts: the rated volts cannot be read on the plate."]


def invented(code: str) -> Judgement:
    """A judgement with some figure for every argument of its code."""
    subject = code.split(".")[0] if "." in code else "volts"
    args = {name: _some(name) for name in CODES[code]}
    value = code.split(".")[1] if subject in QUANTITIES and QUANTITIES[subject].is_seen else 7.5
    return Judgement(
        subject,
        code,
        "watch",
        "motor",
        READING_OF.get(subject, "volts_ab_v"),
        BASIS,
        value,
        "V",
        5.0,
        args,
    )


READING_OF = {"vibration": "vibration_curb_mm_s", "grease": "grease_duct_high_um"}
BASIS = Basis("NEMA MG-1", "14.36", "", "confirmed")


def _some(name: str) -> Any:
    if name in LISTS:
        return ("power_hp", "volts") if name in ("missing", "unreadable") else (1.0, 2.0, None)
    if name in TEXTS:
        return "control" if name == "because" else "rms"
    return 3.0


@pytest.mark.parametrize("code", sorted(CODES))
def test_sentence_when_any_code_then_whole_and_without_a_code_in_it(code: str) -> None:
    sentence = judgement_sentence(invented(code))
    assert re.fullmatch(r"[A-Z0-9][^{}_]*\.", sentence), sentence


def test_sentence_when_230_connection_on_208_service_then_207_and_the_service_are_said() -> None:
    # 0.9 x 230 V = 207 V (NEMA MG-1 12.44; worked example W8, EASA)
    told = sentences({"volts_ab_v": 202.0, "volts_bc_v": 200.0, "volts_ca_v": 200.0})
    assert told["volts.low_on_lower_service"] == (
        "200 V is below 207 V, the least for this connection: the motor is connected for a higher "
        "voltage than the 208 V service gives."
    )


def test_sentence_when_unbalanced_then_nema_percent_with_two_decimals() -> None:
    # 202/200/200 V: 0.66 % (common practice, no source)
    told = sentences({"volts_ab_v": 202.0, "volts_bc_v": 200.0, "volts_ca_v": 200.0})
    assert told["volts_unbalance.within"] == "Volts unbalance 0.66 %, not above 1 %."


def test_sentence_when_typed_in_inches_then_told_in_inches() -> None:
    reading = {"vibration_motor_radial_mm_s": Reading(0.52, "in/s")}
    assert sentences(reading, vibration_detector="peak")["vibration.alarm"] == (
        "Vibration (motor, radial): 0.52 in/s peak, at or above the alarm, 0.5 in/s (BV-2, rigid "
        "mounting)."
    )


def test_sentence_when_a_pole_is_open_then_the_switch_is_bad() -> None:
    over = Reading(None, "ohm", "over")
    told = sentences({"pole_1_ohm": 0.2, "pole_2_ohm": over}, pole_meter="multimeter")
    assert told == {
        "poles.open": "A pole reads open with the switch on (0.2, over range Ω): find out why "
        "before the fan runs."
    }


def test_sentence_when_insulation_is_low_then_it_names_what_it_is_below() -> None:
    told = sentences({"insulation_megohm": 50, "insulation_temperature_c": 40})
    assert told == {
        "insulation.fair": "Insulation 50 MΩ at 40 °C, 50 MΩ at 40 °C (the worse of 50 MΩ "
        "thermoplastic and 50 MΩ thermosetting), below 100 MΩ."
    }


def test_sentence_when_the_rating_in_use_is_only_suggested_then_says_so() -> None:
    readings = {"volts_ab_v": 229.0, "amps_a_a": 3.0}
    judged = judge(readings, plate=PLATE, feed=Feed(), context=Context())
    (told,) = [judgement_sentence(each) for each in judged if each.subject == "amps"]
    assert told == (
        "3 A: not above full load, 3.2 A. Nobody has recorded seeing, at the connections, which "
        "rating is in use."
    )


def test_sentence_when_a_reading_is_only_bounded_then_its_sign_stands() -> None:
    shaking = {"vibration_curb_mm_s": Reading(0.7, "in/s", ">")}
    (told,) = sentences(shaking, vibration_detector="peak").values()
    assert "> 0.7 in/s peak, at or above 0.625 in/s" in told


def test_sentence_when_something_is_missing_then_named_in_words() -> None:
    told = sentences({"insulation_megohm": 3.0})
    assert told == {"missing": "Cannot judge insulation without the winding's temperature."}


def test_basis_when_a_standard_then_clause_and_standing() -> None:
    assert basis_words(BASIS) == "NEMA MG-1, 14.36 (confirmed)"


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (0.5, "in/s", "0.5 in/s"),
        (1234.5, "megohm", "1234 MΩ"),
        (1.0, "ohm", "1 Ω"),
        (0.66445, "%", "0.66 %"),
        (None, "ohm", "over range"),
        (0, "A", "0 A"),
        (119.96, "V", "120 V"),
    ],
)
def test_figure_when_written_then_few_digits_and_its_unit(
    value: float | None, unit: str, text: str
) -> None:
    assert figure(value, unit) == text


@pytest.mark.parametrize(
    ("typed", "text"),
    [
        ({"value": 0.31, "unit": "in/s"}, "0.31 in/s"),
        ({"value": 0.05, "unit": "in/s", "qualifier": "<"}, "< 0.05 in/s"),
        ({"unit": "ohm", "qualifier": "over"}, "over range"),
        ({"value": 2000, "unit": "megohm", "qualifier": "over"}, "over range (2000 MΩ)"),
        ({"value": 4.2, "unit": "A", "qualifier": "unstable"}, "4.2 A, unstable"),
    ],
)
def test_reading_when_shown_then_as_typed(typed: dict[str, Any], text: str) -> None:
    assert reading_text(typed) == text


@pytest.mark.parametrize(
    ("table", "codes"),
    [
        (STATES, {state.code for quantity in SEEN for state in quantity.states}),
        (SUBJECTS, {*LIMIT_SUBJECTS, *(quantity.name for quantity in SEEN)}),
        (ITEMS, {*LIMIT_SUBJECTS.values(), *(quantity.item for quantity in QUANTITIES.values())}),
        (VISIT_KINDS, set(format_.KINDS)),
        (WORK, set(format_.WORK)),
        (REASONS, set(format_.REASONS)),
        (ANSWERS, set(format_.ANSWERS)),
        (MISSING, {field.name for field in CONTEXT if field.name.endswith(("place", "detector"))}),
        (BECAUSE, {"motor_type", "control", "drive", "thermally_protected"}),
    ],
)
def test_words_when_a_code_exists_then_there_are_words_for_it(
    table: dict[str, str], codes: set[str]
) -> None:
    assert codes - set(table) == set()


def test_sentences_when_a_code_is_gone_then_its_sentence_is_too() -> None:
    known = {code for code in CODES if "." in code}
    assert (set(MEASURED) | set(SEEN_SENTENCES)) - known == set()


def test_sentences_when_there_is_no_verdict_then_each_reason_has_words() -> None:
    assert {code for code in CODES if "." not in code} <= set(CANNOT)


def test_subject_when_a_point_of_vibration_then_the_point_is_named() -> None:
    assert subject_words("vibration_motor_radial") == "vibration (motor, radial)"


def test_sentence_when_current_is_high_and_volts_unmeasured_then_said() -> None:
    told = sentences({"amps_a_a": 3.4, "amps_b_a": 3.0, "amps_c_a": 3.0})
    assert "volts were not measured" in told["amps.above_full_load"]


def test_sentence_when_grease_is_thin_then_limit_and_where_watching_begins() -> None:
    # 0.75 x 3175 = 2381 um
    told = sentences({"grease_housing_high_um": 2100.0})
    assert told == {
        "grease.within": "Grease in the fan housing: 2100 µm; the limit is 3175 µm, watched from "
        "2381 µm."
    }
