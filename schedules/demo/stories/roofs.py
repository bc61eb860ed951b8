"""Stories of roofs and kitchens: grease, solid fuel, salt air, hinges, guards, unreached fans."""

from __future__ import annotations

from schedules.demo.plates import HALF_AGAIN, ON_120, ON_208, ON_208_LARGE, ONE_HP, PSC
from schedules.demo.records import Days, Record, after_cleaning, comb, named, walk
from schedules.demo.stories.story import COL, Stage


def solid_fuel(days: Days) -> Stage:
    """A wood-fired oven: creosote does not wait, the code asks for a look every month."""
    stage = Stage("Tannevale Glasshouse Lane", days)
    stage.fan("EF-1", HALF_AGAIN, ON_208_LARGE, system="Wood oven", classes="solid fuel",
              hours="Tue-Sun 16:00-23:00", place="over the oven")  # fmt: skip
    for day in (-88, -58, -27):
        stage.inspected(day, "Wood oven")
    stage.visit("walk_through", -20, walk("EF-1", seen={"grease_box": "full"}), by=COL,
                actions=[{"fan": "EF-1", "kind": "cleaned", "item": "grease_box"}])  # fmt: skip
    return stage


def housing_grease(days: Days) -> Stage:
    """The crew cleans hood and duct and leaves the fan's housing, where the grease grows on."""
    stage = Stage("Tannevale Signal Hill", days)
    stage.fan("EF-1", ONE_HP, ON_208)
    stage.cleaned(-118, "hood", "duct", "housing")
    depths = ((-100, 400, 500), (-60, 1300, 1400))
    for day, low, high in depths:
        look = walk("EF-1", readings={"grease_housing": comb(low, high)}, seen={"rotation": "right",
                    "wheel_gap": "even"})  # fmt: skip
        stage.visit("walk_through", day, look)
    stage.cleaned(-28, "hood", "duct")
    stage.inspected(-26, note="fan housing, no access panel")
    look = walk("EF-1", readings={"grease_housing": comb(2000, 2100)},
                seen={"rotation": "right", "wheel_gap": "even"})  # fmt: skip
    stage.visit("walk_through", -20, look, notes="Housing again left by the crew.")
    return stage


def coastal(days: Days) -> Stage:
    """Salt air: walked every month, its surface rust known and told, one fan now eaten deeper."""
    stage = Stage("Tannevale Ferry Steps", days)
    for tag, place in (("EF-1", "lee side"), ("EF-2", "seaward corner")):
        stage.fan(tag, ONE_HP, ON_208, place=place)
    stage.inspected(-15)
    rusty: Record = {"seen": {"corrosion": "surface"}}
    stage.visit("walk_through", -85, walk("EF-1", lasting=["corrosion"], **rusty),
                walk("EF-2", lasting=["corrosion"], **rusty), by=COL)  # fmt: skip
    stage.visit("walk_through", -55, walk("EF-1", **rusty), walk("EF-2", **rusty), by=COL)
    stage.visit("walk_through", -26, walk("EF-1", **rusty), walk("EF-2", **rusty), by=COL)
    stage.visit(
        "maintenance",
        -8,
        walk("EF-2", seen={"corrosion": "deep"}),
        notes="Flakes come off the seaward side of the housing by hand.",
    )
    return stage


def catch_defeatable(days: Days) -> Stage:
    """The hold-open catch can be knocked out with a knee: tip this fan only with a second rope."""
    stage = Stage("Tannevale Dyer Bridge", days)
    stage.fan("EF-1", ONE_HP, ON_208)
    stage.inspected(-19)
    stage.visit("walk_through", -85, walk("EF-1"), by=COL)
    stage.visit("walk_through", -24, walk("EF-1", seen={"catch": "defeatable"}))
    return stage


def still_unsafe(days: Days) -> Stage:
    """The guard has been off for forty days; everybody has been told and nobody has acted."""
    stage = Stage("Tannevale Kiln Corner", days)
    stage.fan("EF-1", ONE_HP, ON_208)
    stage.inspected(-35)
    stage.visit("walk_through", -99, walk("EF-1"), by=COL)
    stage.visit(
        "walk_through", -40, walk("EF-1", seen={"guard": "off"}),
        notes="Guard gone, bolts sheared. Told the shift manager to keep everybody off the roof.",
        recommendations=[{
            "id": named("guard", days.on(0)), "fan": "EF-1", "subject": "guard", "cost": "220.00",
            "text": "Fit a guard before anybody works on this roof again.",
            "decision": {"answer": "not_now", "on": days.on(-38), "decided_by": "area manager"},
        }],
    )  # fmt: skip
    return stage


def one_not_reached(days: Days) -> Stage:
    """Two fans on one system; a flooded roof kept the technician from one, which stays owed."""
    stage = Stage("Brackenmoor Pinefall Upper", days)
    for tag, place in (("EF-1", "by the hatch"), ("EF-2", "across the gym roof")):
        stage.fan(tag, PSC, ON_120, system="Dish room", classes="low", place=place)
    stage.inspected(-110, "Dish room")
    stage.visit("walk_through", -75, walk("EF-1"), walk("EF-2"), by=COL)
    stage.visit(
        "walk_through", -12, walk("EF-1"), clock="14:20", by=COL,
        not_reached=[{"fan": "EF-2", "reason": "weather",
                      "note": "gym roof under water, drain blocked"}],
    )  # fmt: skip
    return stage


def looked_after_cleaning(days: Days) -> Stage:
    """Nothing wrong: a cleaning, the look after it, and the next walk-through in its turn."""
    stage = Stage("Tannevale Meadow Cross", days)
    stage.fan("EF-1", ONE_HP, ON_208)
    stage.inspected(-29)
    stage.visit("walk_through", -90, walk("EF-1"), by=COL)
    stage.visit("walk_through", -31, walk("EF-1"), by=COL)
    stage.cleaned(-30, "hood", "duct", "housing", tipped=("EF-1",))
    stage.visit("maintenance", -25, after_cleaning("EF-1"))
    return stage
