"""What a week does to the simulated fans, whoever looks after them."""

from dataclasses import dataclass

import numpy as np

from .assumptions import CLASS_WEAR, Assumptions
from .luck import MODES, WEAR_MODES, Floats, Luck
from .roofs import (
    CLEANED_TO_UM,
    Flags,
    Roofs,
    State,
    begun,
    built,
    corroding_a_week,
    lives,
    lognormal,
)

YEAR_WEEKS = 52
BEARING, BELT, CABLE = range(len(WEAR_MODES))
SHAKING_SIGNS_FROM = 0.7


@dataclass
class World:
    """One run of one world: its luck, its fans, and their state."""

    a: Assumptions
    luck: Luck
    roofs: Roofs
    state: State

    @classmethod
    def begins(cls, a: Assumptions, luck: Luck) -> "World":
        """A run at its start."""
        roofs = built(a, luck)
        return cls(a, luck, roofs, begun(a, roofs, luck))


def vibration_mm_s(world: World) -> Floats:
    """What an exact meter would show, rms, mm/s: unbalance, grease and bearing, shape (fans,)."""
    a, s = world.a, world.state
    grease = a.grease_shake_mm_s * world.roofs.grease_unevenness * s.wheel_um / 1000
    signs = np.clip((used(world)[:, BEARING] - SHAKING_SIGNS_FROM) / (1 - SHAKING_SIGNS_FROM), 0, 1)
    return np.asarray(np.sqrt(s.imbalance**2 + grease**2 + (a.bearing_shake_mm_s * signs**2) ** 2))


def used(world: World) -> Floats:
    """The share of its life each wearing part has used, shape (fans, parts)."""
    return world.state.damage / world.state.life


def supply_fault(world: World) -> Floats:
    """How bad the supply is; 1 stands for 3 % unbalance, or 10 % low on one phase."""
    return np.maximum(world.state.lasting, world.state.passing)


def happen(world: World, week: int) -> Flags:
    """Hood cleaning, blows, and faults of the supply that begin or end this week.

    Gives the fans whose hood was cleaned, shape (fans,).
    """
    cleaned = _clean(world, week)
    _tip(world, week, cleaned)
    _shock(world, week)
    _supply(world, week)
    return cleaned


def _clean(world: World, week: int) -> Flags:
    r, s = world.roofs, world.state
    cleaned = (week - r.cleaned_first) % r.cleaned_every == 0
    wheel = cleaned & (world.luck.cleaning[:, week, 0] >= world.a.wheel_missed)
    s.wheel_um = np.where(wheel, CLEANED_TO_UM, s.wheel_um)
    return np.asarray(cleaned)


def _tip(world: World, week: int, cleaned: Flags) -> None:
    a, s, u = world.a, world.state, world.luck.cleaning[:, week]
    safe = s.hinge & s.hinge_sound
    badly = cleaned & (u[:, 1] < np.where(safe, a.bad_tip_hinged, a.bad_tip_loose))
    step = lognormal(a.tip_step_mm_s, a.tip_step_spread, u[:, 2])
    s.imbalance = np.where(badly, np.hypot(s.imbalance, step), s.imbalance)
    stretched = -a.tip_cable_step * np.log1p(-u[:, 3]) * s.life[:, CABLE]
    s.damage[:, CABLE] += np.where(badly, stretched, 0.0)
    s.hinge_sound &= ~(badly & (u[:, 4] < a.tip_hinge_damage))


def _shock(world: World, week: int) -> None:
    a, s, u = world.a, world.state, world.luck.shock[:, week]
    hit = u[:, 0] < _chance(a.shock_rate)
    step = lognormal(a.tip_step_mm_s, a.tip_step_spread, u[:, 1])
    s.imbalance = np.where(hit, np.hypot(s.imbalance, step), s.imbalance)


def _supply(world: World, week: int) -> None:
    a, s, u = world.a, world.state, world.luck.supply[:, week]
    size = lognormal(a.fault_unbalance_percent / 3, a.fault_spread, u[:, 2])
    begins = (s.lasting == 0) & (u[:, 0] < _chance(a.lasting_fault_rate))
    s.lasting = np.where(begins, size, s.lasting)
    s.passing_left = np.maximum(0, s.passing_left - 1)
    comes = (s.passing_left == 0) & (u[:, 1] < _chance(a.passing_fault_rate))
    lasts = np.ceil(-a.passing_weeks * np.log1p(-u[:, 3]))
    s.passing_left = np.where(comes, lasts, s.passing_left)
    other = lognormal(a.fault_unbalance_percent / 3, a.fault_spread, u[:, 4])
    s.passing = np.where(comes, other, np.where(s.passing_left > 0, s.passing, 0.0))


def wear(world: World) -> None:
    """A week of running."""
    a, r, s = world.a, world.roofs, world.state
    shaking = vibration_mm_s(world)
    hard = CLASS_WEAR[r.cooking]
    dry = np.clip(s.greased_weeks / a.grease_lasts_weeks - 1, 0, 1) * r.greased
    s.damage[:, BEARING] += (
        (1 + (shaking / a.bearing_half_mm_s) ** 2) * (1 + a.dry_factor * dry) / YEAR_WEEKS
    )
    s.damage[:, BELT] += r.belt * hard * (1 + a.slack_factor * s.slack) / YEAR_WEEKS
    s.damage[:, CABLE] += (1 + (shaking / a.cable_half_mm_s) ** 2) / YEAR_WEEKS
    s.slack = np.minimum(1.0, s.slack + 1 / a.slack_weeks)
    s.greased_weeks = s.greased_weeks + 1
    s.imbalance = s.imbalance + r.drift
    s.wheel_um = s.wheel_um + r.grease_um_week
    s.vents = np.minimum(1.0, s.vents + a.vents_block * hard / YEAR_WEEKS)
    s.box = s.box + a.box_fill * hard / YEAR_WEEKS
    s.corrosion = np.minimum(1.0, s.corrosion + corroding_a_week(a, r))


def sudden_rates(world: World) -> Floats:
    """Failures in a year of each sudden mode as the fans are now, shape (fans, modes)."""
    a, s = world.a, world.state
    shaking = (vibration_mm_s(world) / 10) ** 3
    return np.stack(
        [
            a.switch_by_shaking * shaking + a.switch_by_corrosion * s.corrosion**2,
            a.wheel_by_shaking * shaking,
            a.motor_by_supply * supply_fault(world) ** 2 + a.motor_by_heat * s.vents**2,
            np.full(len(shaking), a.from_nowhere),
        ],
        axis=1,
    )


def failing(world: World, week: int) -> Flags:
    """What fails this week, shape (fans, modes) in the order of `MODES`."""
    worn = used(world) >= 1
    worn[:, BELT] &= world.roofs.belt
    return np.hstack([worn, world.luck.sudden[:, week] < _chance(sudden_rates(world))])


def repair_failed(world: World, failed: Flags) -> None:
    """A new part for each that failed; what made it fail stays."""
    renew(world, failed[:, : len(WEAR_MODES)])
    s = world.state
    s.corrosion = np.where(failed[:, MODES.index("switch")], 0.0, s.corrosion)


def renew(world: World, parts: Flags) -> None:
    """New wearing parts where `parts` (fans, parts) says so."""
    s = world.state
    s.part = s.part + parts
    s.life = np.where(parts, lives(world.a, world.luck, s.part), s.life)
    s.damage = np.where(parts, 0.0, s.damage)
    s.slack = np.where(parts[:, BELT], 0.0, s.slack)
    s.greased_weeks = np.where(parts[:, BEARING], 0.0, s.greased_weeks)


def _chance(rate: Floats | float) -> Floats:
    return np.asarray(-np.expm1(-np.asarray(rate) / YEAR_WEEKS))
