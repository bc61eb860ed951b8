"""A count that grows with the years, with the band its limits leave, laid out for the template."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from schedules.charts.drawing import HEIGHT_PX, TICK_PX, WIDE, DrawnLevel
from schedules.charts.values import TICKS, ValueScale, nice_step
from visits.wording import number_text

TOP_PX, WORDS_PX = 10.0, 24.0
MOST_OVER = 3.0
"""Limits so many times the highest mean leave the drawing at its top: a few fans tell little."""
Grown = Sequence[float]
"""Years, how many were watched so long, mean, lower and upper limit."""


@dataclass(frozen=True, slots=True)
class YearTick:
    """A year's line across the foot, and its number."""

    x: str
    text: str


@dataclass(frozen=True, slots=True)
class DrawnGrowth:
    """``line`` and ``band`` are points of the stretched drawing."""

    line: str
    band: str
    values: list[DrawnLevel]
    years: list[YearTick]

    top, height = TOP_PX, HEIGHT_PX
    full_height = TOP_PX + HEIGHT_PX + WORDS_PX
    tick_y, word_y = HEIGHT_PX + TICK_PX, HEIGHT_PX + 18


def draw_growth(points: Sequence[Grown]) -> DrawnGrowth:
    """Steps that rise where a failure came, from nothing on the first day to a later one."""
    last, highest = points[-1][0], max(each[2] for each in points)
    scale = ValueScale(0.0, min(max(each[4] for each in points), MOST_OVER * highest), HEIGHT_PX)
    upper, lower = _steps(points, 4, last, scale), _steps(points, 3, last, scale)
    return DrawnGrowth(
        line=" ".join(_steps(points, 2, last, scale)),
        band=" ".join([*upper, *reversed(lower)]),
        values=[DrawnLevel(scale.y(v), scale.y(v), number_text(v)) for v in scale.ticks()],
        years=_years(last),
    )


def _steps(points: Sequence[Grown], column: int, last: float, scale: ValueScale) -> list[str]:
    drawn, y = [f"0,{scale.y(0)}"], scale.y(0)
    for point in points:
        x = f"{WIDE * point[0] / last:.1f}"
        drawn.append(f"{x},{y}")
        y = scale.y(point[column])
        drawn.append(f"{x},{y}")
    return drawn


def _years(last: float) -> list[YearTick]:
    step = nice_step(last / TICKS)
    count = int(last / step + 1e-9)
    return [
        YearTick(f"{n * step / last:.2%}", number_text(round(n * step, 6)))
        for n in range(count + 1)
    ]
