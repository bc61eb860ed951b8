"""Sites and rounds drawn to scale on a sheet: places in, pixels out, no words of its own."""

from schedules.rounds.map.drawing import DrawnMark, DrawnWay, Mark, Plan, Way, draw_plan

__all__ = ["DrawnMark", "DrawnWay", "Mark", "Plan", "Way", "draw_plan"]
