"""Turns a written case into what the engine is told."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from math import nan
from pathlib import Path
from typing import Any

from fleet.quantities import QUANTITIES
from schedules.engine.causes import Happening, Past, Seen, Work

FAILED_DAY = 740_000
FILES = tuple(f"{name}_cases.toml" for name in ("electrical", "mechanical", "mixed", "mechanism"))


def read_cases() -> dict[str, Mapping[str, Any]]:
    """All written cases by name."""
    texts = [(Path(__file__).parent / name).read_text("utf-8") for name in FILES]
    return {case["name"]: case for text in texts for case in tomllib.loads(text)["case"]}


def past_of(case: Mapping[str, Any]) -> Past:
    """The record of a case, its failure on ``FAILED_DAY``."""
    fan = case["fan"]
    return Past(
        item=case["failed"]["item"],
        failed_day=FAILED_DAY,
        found_day=FAILED_DAY,
        mode=case["failed"]["mode"],
        mechanism=case["failed"].get("mechanism", ""),
        since_day=FAILED_DAY - fan["age"] if "age" in fan else None,
        motor_type=fan["motor_type"],
        belt_drive=fan.get("drive", "direct") == "belt",
        bearings=fan.get("bearings", ""),
        control=fan.get("control", "none"),
        harsh=case.get("site", "inland") != "inland",
        looks=tuple(seen_of(look) for look in case.get("looks", ())),
        events=tuple(
            Happening(each["kind"], day_of(each), each.get("tipped", False))
            for each in case.get("events", ())
        ),
        works=tuple(
            Work(each["kind"], each["item"], day_of(each)) for each in case.get("actions", ())
        ),
        failures=tuple((each["item"], day_of(each)) for each in case.get("failures", ())),
    )


def day_of(entry: Mapping[str, Any]) -> int:
    return FAILED_DAY - int(entry["ago"])


def seen_of(look: Mapping[str, Any]) -> Seen:
    states = look.get("seen", {})
    verdicts = {name: QUANTITIES[name].state(code).verdict or "" for name, code in states.items()}
    return Seen(
        day_of(look),
        verdicts | look.get("verdicts", {}),
        states,
        look.get("volts_of_rated", nan),
        look.get("overload_of_full_load", nan),
        look.get("belt_of_usual", nan),
    )
