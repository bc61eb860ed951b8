"""Units: known conversions, kinds that do not mix, spellings, and the comb's printed mark."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.quantities import MEASURED
from fleet.units import (
    UNITS,
    UnitError,
    convert,
    factor,
    grease_depth_um,
    peak_to_rms,
    to_canonical,
    unit_code,
    units_of,
)


# Exact by definition (NIST SP 811 appendix B) but the horsepower, 745.6999 W there.
@pytest.mark.parametrize(
    ("value", "unit", "to", "expected"),
    [(1, "in", "mm", 25.4), (1, "mil", "um", 25.4), (1, "ft", "in", 12), (1, "in/s", "mm/s", 25.4),
     (1, "hp", "kW", 0.7456999), (3.7, "kW", "hp", 4.9618), (746, "W", "hp", 1.0004),
     (32, "F", "C", 0), (212, "F", "C", 100), (-40, "C", "F", -40), (9, "F_difference", "K", 5),
     (0.48, "kV", "V", 480), (1500, "mA", "A", 1.5), (550, "kohm", "megohm", 0.55),
     (2.2, "gohm", "megohm", 2200), (12, "mohm", "ohm", 0.012), (1, "lb", "kg", 0.45359237),
     (90, "min", "h", 1.5), (2, "d", "h", 48), (1, "m", "mm", 1000), (100, "ft/min", "m/s", 0.508),
     (1, "lbf", "N", 4.4482216)],
)  # fmt: skip
def test_conversion_matches_the_definition(
    value: float, unit: str, to: str, expected: float
) -> None:
    assert convert(value, unit, to) == pytest.approx(expected, rel=1e-4, abs=1e-9)


@pytest.mark.parametrize(
    ("written", "code"),
    [("IPS", "in/s"), ("in / s", "in/s"), ("µm", "um"), ("μm", "um"), ("microns", "um"),
     ("Ω", "ohm"), ("\u2126", "ohm"), ("MΩ", "megohm"), ("Mohm", "megohm"), ("mohm", "mohm"),
     ("MEGOHM", "megohm"), ("VAC", "V"), ("°F", "F"), ("HP", "hp"), ("µF", "uF"), ("MFD", "uF"),
     ('"', "in"), ("Hz", "Hz"), ("hrs", "h"), ("mm/sec", "mm/s")],
)  # fmt: skip
def test_unit_is_known_by_its_usual_spellings(written: str, code: str) -> None:
    assert unit_code(written) == code


@pytest.mark.parametrize("written", ["MOHM", "furlong", "", "mm/s rms"])
def test_unit_nobody_can_tell_is_refused(written: str) -> None:
    with pytest.raises(UnitError, match="is not a unit we know"):
        unit_code(written)


def test_value_of_another_kind_is_refused_with_what_is_wanted() -> None:
    with pytest.raises(UnitError, match="230 V is a voltage; here a current is wanted, in one"):
        convert(230, "V", "A")


def test_value_in_a_unit_not_accepted_is_refused_with_what_is() -> None:
    with pytest.raises(UnitError, match=r"3 m/s does not fit; accepted here: mm/s, in/s"):
        to_canonical(3, "m/s", "mm/s", ("mm/s", "in/s"))


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -float("inf")])
def test_value_that_is_no_number_is_refused(value: float) -> None:
    with pytest.raises(UnitError, match="is not a number"):
        convert(value, "V", "V")


def test_value_without_unit_is_in_the_canonical_one() -> None:
    assert to_canonical(0.31, "", "mm/s", ("mm/s", "in/s")) == 0.31


def test_temperatures_have_no_fixed_ratio() -> None:
    with pytest.raises(UnitError, match="F has no fixed ratio to C"):
        factor("F", "C")


@pytest.mark.parametrize("quantity", MEASURED, ids=lambda quantity: quantity.name)
def test_every_accepted_unit_of_a_reading_converts_to_its_own(quantity: object) -> None:
    accepted, canonical = quantity.accepted, quantity.unit  # type: ignore[attr-defined]
    assert all(UNITS[unit].kind == UNITS[canonical].kind for unit in accepted)


@pytest.mark.parametrize(
    ("depth", "unit", "expected_um"),
    [(0.078, "in", 2000), (78, "mil", 2000), (0.0785, "in", 2000), (0.0788, "in", 2001.52),
     (0.077, "in", 1955.8), (0.125, "in", 3175), (2.0, "mm", 2000), (1981, "um", 1981)],
)  # fmt: skip
def test_comb_mark_in_inches_means_the_printed_depth(
    depth: float, unit: str, expected_um: float
) -> None:
    # NFPA 96 prints 0.078 in for 2000 um, 0.125 in for 3175 um.
    assert grease_depth_um(depth, unit) == pytest.approx(expected_um)


@given(st.floats(0, 0.2), st.floats(0, 0.2))
def test_deeper_grease_in_inches_is_never_shallower_in_um(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert grease_depth_um(low, "in") <= grease_depth_um(high, "in")


@given(st.floats(-1e6, 1e6), st.data())
def test_conversion_there_and_back_keeps_the_value(value: float, data: st.DataObject) -> None:
    unit = data.draw(st.sampled_from(sorted(UNITS)))
    to = data.draw(st.sampled_from(units_of(UNITS[unit].kind)))
    assert convert(convert(value, unit, to), to, unit) == pytest.approx(value, rel=1e-9, abs=1e-6)


def test_rms_of_a_sine_is_its_peak_over_root_two() -> None:
    assert peak_to_rms(10, "peak") == pytest.approx(7.0710678)
