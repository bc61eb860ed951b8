"""Readings as written become columns in the registry's units."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.quantities import MEASURED, Quantity
from tests.visits.roofs import check, visit
from visits.payload import PayloadError, VisitEntry, read_record
from visits.payload.names import short_name
from visits.payload.readings import Readings


def read(**parts: Any) -> Readings:
    """The readings of one check."""
    entry = read_record(visit(check(**parts)))
    assert isinstance(entry, VisitEntry)
    return entry.checks[0].readings


def column(name: str, written: Any) -> float | str | None:
    """The column a single reading fills."""
    (value,) = read(readings={name: written}).columns.values()
    return value


@pytest.mark.parametrize(
    ("name", "written", "value"),
    [
        ("volts_ab_v", 208, 208.0),
        ("volts_ab", "0.48 kV", 480.0),
        # 1 in = 25.4 mm exactly (NIST SP 811, appendix B)
        ("vibration_motor_radial", "0.5 in/s", 12.7),
        ("vibration_motor_radial", "0.5 IPS", 12.7),
        ("belt_span", '20 "', 508.0),
        # 86 F is 30 C: (F - 32) / 1.8 (NIST SP 811, appendix B)
        ("insulation_temperature", "86 °F", 30.0),
        ("insulation", ">2 GΩ", 2000.0),
        ("amps_a", {"value": 3100, "unit": "mA"}, 3.1),
        ("amps_a", "4.2 A unstable", 4.2),
        ("pole_1", "OL", None),
    ],
)
def test_reading_when_written_so_then_stored_in_its_unit(
    name: str, written: Any, value: float | None
) -> None:
    assert column(name, written) == (value if value is None else pytest.approx(value, rel=1e-12))


@pytest.mark.parametrize(
    ("written", "typed"),
    [
        ("0.31 in/s", {"value": 0.31, "unit": "in/s"}),
        (3.1, {"value": 3.1, "unit": "mm/s"}),
        ("<0.05 ips", {"value": 0.05, "unit": "in/s", "qualifier": "<"}),
    ],
)
def test_reading_when_stored_then_kept_as_typed(written: Any, typed: dict[str, Any]) -> None:
    assert list(read(readings={"vibration_curb": written}).typed.values()) == [typed]


def test_grease_when_one_figure_then_both_ends_of_the_comb() -> None:
    assert read(readings={"grease_duct": "400 um"}).columns == {
        "grease_duct_low_um": 400.0, "grease_duct_high_um": 400.0,
    }  # fmt: skip


def test_grease_when_the_inch_mark_of_the_duct_limit_then_2000_um() -> None:
    # NFPA 96 table 12.6.1.1.3: a comb prints 0.078 in where it prints 2000 um.
    assert column("grease_duct_high", "0.078 in") == 2000.0


@pytest.mark.parametrize(
    ("name", "written"),
    [
        ("volts_ab", "nan"),
        ("volts_ab", "1e999 V"),
        ("volts_ab", float("inf")),
        ("volts_ab", True),
        ("volts_ab", "208 A"),
        ("volts_ab", "20800"),
        ("volts_ab", "OL"),
        ("volts_ab", {"value": 208, "units": "V"}),
        ("pole_1", {"qualifier": "over", "unit": "cK"}),
        ("pole_1", {"qualifier": "over", "unit": "V"}),
        ("volts_ab", {}),
        ("vibration_curb", "OL"),
        ("grease_duct", {"low": 400, "high": 300, "unit": "um"}),
        ("grease_duct", {"low": 400}),
        ("pole_1", "1_0 ohm"),
        ("volts_ab", f"0.2{' ' * 60}kV"),
    ],
)
def test_reading_when_it_cannot_be_then_refused_once(name: str, written: Any) -> None:
    with pytest.raises(PayloadError) as caught:
        read(readings={name: written})
    assert len(caught.value.complaints) == 1


def test_reading_when_given_by_both_names_then_refused() -> None:
    with pytest.raises(PayloadError, match="given twice"):
        read(readings={"volts_ab": 208, "volts_ab_v": 208})


@pytest.mark.parametrize(
    ("written", "unit", "detector"),
    [
        ("0.35 in/s rms", "in/s", "rms"),
        ("0.35 ips PK", "in/s", "peak"),
        ("0.35 in/s 0-pk", "in/s", "peak"),
        ("0.35 IPS peak", "in/s", "peak"),
        ("2.1 mm/s (RMS)", "mm/s", "rms"),
        ("2.1 mm/s r.m.s.", "mm/s", "rms"),
        ("2.1 rms", "mm/s", "rms"),
        ("<0.05 in/s rms", "in/s", "rms"),
        ("2.1 mm/s rms unstable", "mm/s", "rms"),
        ({"value": 0.35, "unit": "in/s peak"}, "in/s", "peak"),
        ({"value": 0.35, "unit": "in/s", "qualifier": "peak"}, "in/s", "peak"),
    ],
)
def test_vibration_when_its_detector_stands_behind_it_then_kept_as_the_checks(
    written: Any, unit: str, detector: str
) -> None:
    found = read(readings={"vibration_curb": written})
    assert (
        found.columns["vibration_detector"], found.typed["vibration_curb_mm_s"]["unit"]
    ) == (detector, unit)  # fmt: skip


@pytest.mark.parametrize(
    "written", ["0.35 in/s pk-pk", "0.35 in/s peak-to-peak", "2.1 mm/s average", "2.1 mm/s rmsx"]
)
def test_vibration_when_by_a_detector_nobody_knows_then_told_how_to_write_it(written: str) -> None:
    with pytest.raises(PayloadError, match="in one of mm/s, in/s; rms or peak may follow"):
        read(readings={"vibration_curb": written})


@pytest.mark.parametrize(
    ("parts", "pointer"),
    [
        (
            {"readings": {"vibration_curb": "2 mm/s rms"},
             "context": {"vibration_detector": "peak"}},
            "/checks/0/context/vibration_detector",
        ),
        (
            {"readings": {"vibration_curb": "2 rms", "vibration_motor_axial": "2 peak"}},
            "/checks/0/readings/vibration_motor_axial",
        ),
    ],
)  # fmt: skip
def test_vibration_when_two_detectors_are_named_then_refused(
    parts: dict[str, Any], pointer: str
) -> None:
    with pytest.raises(PayloadError) as caught:
        read(**parts)
    assert [said.pointer for said in caught.value.complaints] == [pointer]


def test_context_when_a_detector_is_unknown_then_the_choices_are_told() -> None:
    with pytest.raises(PayloadError, match="it may be rms, peak"):
        read(context={"vibration_detector": "average"})


@given(st.sampled_from(MEASURED), st.floats(0, 1))
def test_reading_when_plausible_then_its_column_is_the_number(
    quantity: Quantity, share: float
) -> None:
    value = quantity.low + share * (quantity.high - quantity.low)
    assert column(short_name(quantity), value) == value


@given(st.sampled_from(MEASURED), st.floats(allow_nan=True, allow_infinity=True))
def test_reading_when_any_float_then_stored_plausible_or_refused(
    quantity: Quantity, value: float
) -> None:
    try:
        stored = column(quantity.name, value)
    except PayloadError:
        return
    assert isinstance(stored, float)
    assert quantity.low <= stored <= quantity.high


@given(st.recursive(st.none() | st.booleans() | st.floats() | st.text(),
                    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner)))  # fmt: skip
def test_record_when_any_json_then_never_more_than_complaints(data: Any) -> None:
    with pytest.raises(PayloadError):
        read_record({**data, "kind": "?"} if isinstance(data, dict) else data)


@pytest.mark.parametrize(
    ("name", "written", "value"),
    [
        ("amps_a", "2,4", 2.4),
        ("amps_a", "2,4 A", 2.4),
        ("vibration_curb", "<0,052 in/s", 0.052 * 25.4),
        # 1 in = 25.4 mm exactly (NIST SP 811, appendix B)
        ("belt_deflection", "1/2 in", 12.7),
        ("belt_deflection", "1-1/2 in", 38.1),
        ("sheave_wear", "1/32 in", 25.4 / 32),
    ],
)
def test_reading_when_written_with_a_comma_or_as_a_fraction_then_read(
    name: str, written: str, value: float
) -> None:
    assert column(name, written) == pytest.approx(value)


@pytest.mark.parametrize(
    ("name", "written", "told"),
    [
        ("speed", "1,725 rpm", "speed has a comma that could part thousands or decimals"),
        ("belt_deflection", "2026-01-02", "is a date, which spreadsheets make of texts such as"),
        ("volts_ab", "208 zorks", "a unit we know (seen: \"208 zorks\"); write it in one of V, kV"),
    ],
)  # fmt: skip
def test_reading_when_it_cannot_be_read_then_the_remedy_helps(
    name: str, written: str, told: str
) -> None:
    with pytest.raises(PayloadError) as caught:
        read(readings={name: written})
    assert told in str(caught.value)
