"""Hand-written stories: one fan or two each, honest readings, a date that can be checked."""

from __future__ import annotations

from schedules.demo.stories import belts, motors, roofs, shaking, supply
from schedules.demo.stories.story import Told

STORIES: tuple[Told, ...] = (
    supply.low_volts, supply.range_plate, supply.dead_leg, supply.trips_again,
    supply.bypassed_drive,
    motors.three_poles, motors.weak_capacitor, motors.built_in_electronics,
    motors.plate_unreadable, motors.declined_and_failed,
    shaking.tipped, shaking.second_switch, shaking.by_hand, shaking.two_speeds,
    shaking.machine_replaced,
    roofs.solid_fuel, roofs.housing_grease, roofs.coastal, roofs.catch_defeatable,
    roofs.still_unsafe, roofs.one_not_reached, roofs.looked_after_cleaning,
    belts.new_belt, belts.clock_change, belts.meter_rolled,
)  # fmt: skip
"""All but one: what the first import of a fleet without history looks like is the hotels' story."""
