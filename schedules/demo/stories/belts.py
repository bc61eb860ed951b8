"""Stories of belt drives: hours that run, clocks that change, meters that roll over."""

from __future__ import annotations

from typing import Any

from schedules.demo.plates import BELT_ONE_HP, BELT_TWO_HP, ON_208, ON_208_TWO_HP
from schedules.demo.records import Days, Record, walk
from schedules.demo.stories.story import COL, DAILY, Stage


def new_belt(days: Days) -> Stage:
    """A belt put on yesterday stretches in its first day of running and wants tension again."""
    stage = Stage("Brackenmoor Marrowby Upper", days)
    _belt_fan(stage, system="Servery", classes="low", hours=DAILY)
    stage.inspected(-50, "Servery")
    _regreased(stage, -60)
    stage.visit("walk_through", -9, walk("EF-1", belt=True, seen={"belt": "worn"}), by=COL)
    stage.visit(
        "service_call", -1,
        {"fan": "EF-1", "seen": {"running": "runs", "belt": "cracked"}},
        {"fan": "EF-1", "stage": "as_left", "readings": {"belt_span": "24 in",
         "belt_deflection": "0.375 in"}, "seen": {"belt": "sound", "sheaves": "sound",
         "rotation": "right", "vibration_felt": "none"}, "switch_left": "on"},
        actions=[{"fan": "EF-1", "kind": "replaced", "item": "belt", "part": "A45"}],
    )  # fmt: skip
    return stage


def clock_change(days: Days) -> Stage:
    """A kitchen open through the night: the hour that the clocks skip or repeat is counted."""
    stage = Stage("Tannevale Toll House", days)
    _belt_fan(stage, regrease="2000", hours="daily 18:00-04:00")
    stage.inspected(-21)
    _regreased(stage, -196)
    stage.visit("walk_through", -44, walk("EF-1", belt=True), by=COL)
    stage.visit("walk_through", -14, walk("EF-1", belt=True), by=COL)
    return stage


def meter_rolled(days: Days) -> Stage:
    """An hour meter of five digits went past 99999 and began again; its hours are not lost."""
    stage = Stage("Tannevale Silo Court", days)
    _belt_fan(stage, regrease="2200", plate=BELT_TWO_HP, feed=ON_208_TWO_HP,
              **{"Hour meter digits": "5"})  # fmt: skip
    stage.inspected(-17)
    stage.visit(
        "maintenance", -200, _meter(98_900),
        actions=[{"fan": "EF-1", "kind": "regreased", "item": "bearings"}],
    )  # fmt: skip
    stage.visit("maintenance", -100, _meter(99_950), by=COL)
    stage.visit("maintenance", -20, _meter(790), by=COL)
    stage.visit("walk_through", -8, walk("EF-1", belt=True), by=COL)
    return stage


def _belt_fan(
    stage: Stage,
    *,
    regrease: str = "4000",
    plate: dict[str, str] = BELT_ONE_HP,
    feed: dict[str, str] = ON_208,
    **more: Any,
) -> None:
    stage.fan("EF-1", {**plate, "Maker regrease (h)": regrease}, feed, **more)


def _regreased(stage: Stage, day: int) -> None:
    stage.visit(
        "maintenance", day, {"fan": "EF-1", "seen": {"bearings": "quiet"}},
        actions=[{"fan": "EF-1", "kind": "regreased", "item": "bearings", "part": "two strokes"}],
    )  # fmt: skip


def _meter(hours: float) -> Record:
    return {"fan": "EF-1", "readings": {"hour_meter": f"{hours:g} h"}, "seen": {"running": "runs"}}
