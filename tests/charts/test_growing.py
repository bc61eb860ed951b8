"""A count that grows: its steps, its band, and what its axes name."""

from __future__ import annotations

from schedules.charts.drawing import HEIGHT_PX
from schedules.charts.growing import draw_growth

POINTS = [[1.0, 10, 0.1, 0.05, 0.2], [2.0, 8, 0.2, 0.1, 4.0]]


def test_growth_then_level_until_a_failure_came_and_across_the_whole_width() -> None:
    across = [pair.split(",") for pair in draw_growth(POINTS).line.split()]
    assert [x for x, _ in across] == ["0", "500.0", "500.0", "1000.0", "1000.0"]
    assert [across[0][1] == across[1][1], across[2][1] == across[3][1]] == [True, True]


def test_limits_far_above_the_mean_then_the_band_leaves_the_drawing_at_its_top() -> None:
    drawing = draw_growth(POINTS)
    # three times the highest mean, 0.2, is the top
    assert ([each.text for each in drawing.values], drawing.values[2].y) == (
        ["0", "0.2", "0.4", "0.6"], round(HEIGHT_PX / 3, 1),
    )  # fmt: skip
    assert " 1000.0,0.0 " in drawing.band


def test_years_then_named_at_their_places() -> None:
    assert [(each.x, each.text) for each in draw_growth(POINTS).years] == [
        ("0.00%", "0"), ("25.00%", "0.5"), ("50.00%", "1"), ("75.00%", "1.5"), ("100.00%", "2"),
    ]  # fmt: skip
