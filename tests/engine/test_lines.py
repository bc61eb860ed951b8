"""The straight line against certified NIST values, R's prediction intervals and scipy."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from schedules.engine import straight_line
from schedules.engine.errors import ParameterError, SeriesError
from tests.engine.given import case, columns

NAN = float("nan")


# TR-01, NIST StRD Norris, certified values (source beside the case).
@pytest.mark.parametrize(
    "name", ["slope", "intercept", "slope_se", "intercept_se", "r2", "resid_sd"]
)
def test_straight_line_on_norris_then_certified_values(name: str) -> None:
    inputs, expected = case("TR-01")
    y, x = columns(inputs["file"], "y", "x")
    assert getattr(straight_line(x, y), name) == pytest.approx(expected[name], rel=1e-9)


# TR-03, NIST StRD NoInt2: the line held at the origin; r2 is then taken about the point held.
def test_straight_line_through_origin_then_certified_values() -> None:
    inputs, expected = case("TR-03")
    line = straight_line(inputs["x"], inputs["y"], through=(0, 0))
    found = [float(value) for value in (line.slope, line.slope_se, line.resid_sd, line.r2)]
    assert found == pytest.approx(list(expected.values()), rel=1e-9)


# TR-08, R predict.lm(interval = "prediction") on the stopping distances of Ezekiel (1930).
@pytest.mark.parametrize("which", [0, 1, 2])
def test_prediction_inside_and_outside_the_data_then_as_predict_lm(which: int) -> None:
    inputs, expected = case("TR-08")
    x, y = columns(inputs["file"], inputs["x"], inputs["y"])
    at = expected["intervals"][which]
    found = straight_line(x, y).predict(at["x0"], inputs["confidence"])
    assert [float(found.fit), float(found.lower), float(found.upper)] == pytest.approx(
        [at["fit"], at["lower"], at["upper"]], rel=1e-6
    )


def test_straight_line_through_a_point_when_moved_to_origin_then_same_slope() -> None:
    held = straight_line([7, 9, 12], [20, 31, 33], through=(5, 11))
    moved = straight_line([2, 4, 7], [9, 20, 22], through=(0, 0))
    assert (held.slope, held.slope_se) == (moved.slope, moved.slope_se)


def test_straight_line_through_a_point_then_it_passes_there() -> None:
    line = straight_line([7, 9, 12], [20, 31, 33], through=(5, 11))
    assert line.predict(5).fit == pytest.approx(11)


# scipy.stats.linregress and Student's t are the reference.
def test_upper_slope_then_linregress_slope_and_student_quantile() -> None:
    x, y = [1.0, 2.0, 4.0, 7.0], [2.0, 3.5, 3.0, 8.0]
    reference = stats.linregress(x, y)
    expected = reference.slope + stats.t.ppf(0.9, 2) * reference.stderr
    assert straight_line(x, y).upper_slope(0.9) == pytest.approx(expected)


def test_straight_line_when_padded_with_nan_then_as_without() -> None:
    padded = straight_line([[1, 2, NAN, 4, NAN]], [[2, 5, 7, 6, NAN]])
    alone = straight_line([1, 2, 4], [2, 5, 6])
    assert (padded.slope[0], padded.slope_se[0]) == pytest.approx((alone.slope, alone.slope_se))


def test_straight_line_when_all_x_alike_then_cannot_tell() -> None:
    assert np.isnan(straight_line([3, 3, 3], [1, 2, 3]).slope)


def test_straight_line_of_two_points_then_slope_without_error() -> None:
    line = straight_line([1, 3], [1, 5])
    assert (line.slope, bool(np.isnan(line.slope_se))) == (2.0, True)


def test_straight_line_when_shapes_differ_then_error_names_both() -> None:
    with pytest.raises(SeriesError, match=r"\(3,\).*\(2,\)"):
        straight_line([1, 2, 3], [1, 2])


def test_straight_line_when_infinite_then_error() -> None:
    with pytest.raises(SeriesError, match="infinite"):
        straight_line([1, 2], [1, float("inf")])


def test_straight_line_when_given_dates_then_error_asks_for_ordinals() -> None:
    with pytest.raises(SeriesError, match="ordinals"):
        straight_line(["2025-01-01", "2025-02-01"], [1, 2])


@pytest.mark.parametrize("level", [0.0, 1.0, 95.0])
def test_predict_when_level_is_no_fraction_then_error(level: float) -> None:
    with pytest.raises(ParameterError, match="level"):
        straight_line([1, 2, 3], [1, 2, 4]).predict(2, level)
