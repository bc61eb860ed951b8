"""Charts as lines on paper: numbers in, percentages and pixels out, drawn by one template."""

from schedules.charts.chart import Chart, Limit, Mark, Point, Series
from schedules.charts.drawing import Drawing, draw
from schedules.charts.times import TimeScale

__all__ = ["Chart", "Drawing", "Limit", "Mark", "Point", "Series", "TimeScale", "draw"]
