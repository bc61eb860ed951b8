"""Every number verdicts depend on, in one frozen, overridable object with its sources."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import Field, dataclass, field, fields, replace
from functools import cached_property
from itertools import pairwise
from typing import Any

from fleet.units import convert
from visits.limits import basis as known
from visits.limits.basis import SET_HERE, Basis


class LimitError(ValueError):
    """A limit that cannot be: the text names it, the value seen and what is expected."""


@dataclass(frozen=True, slots=True)
class VibrationLimits:
    """Limits of one category, mounting, unit and detector; ``stop`` None follows from the alarm."""

    start: float
    alarm: float
    stop: float | None = None


VibrationKey = tuple[str, str, str, str]
"""Category (BV-2, BV-3), mounting (rigid, flexible), unit (mm/s, in/s), detector (peak, rms)."""

_COLUMNS = (("mm/s", "peak"), ("mm/s", "rms"), ("in/s", "peak"))
# ISO 14694 Table 5: start-up, alarm and shutdown by column; BV-2 and the inch column from memory.
_VIBRATION_ROWS: dict[tuple[str, str], tuple[tuple[float, float, float | None], ...]] = {
    ("BV-2", "rigid"): ((7.6, 12.7, None), (5.6, 9.0, None), (0.30, 0.50, None)),
    ("BV-2", "flexible"): ((12.7, 19.1, None), (9.0, 14.0, None), (0.50, 0.75, None)),
    ("BV-3", "rigid"): ((6.4, 10.2, 12.7), (4.5, 7.1, 9.0), (0.25, 0.40, 0.50)),
    ("BV-3", "flexible"): ((8.8, 16.5, 17.8), (6.3, 11.8, 12.5), (0.35, 0.65, 0.70)),
}


def _iso_14694() -> dict[VibrationKey, VibrationLimits]:
    return {
        (*row, *column): VibrationLimits(*cells)
        for row, columns in _VIBRATION_ROWS.items()
        for column, cells in zip(_COLUMNS, columns, strict=True)
    }


def _limit(default: Any, unit: str, source: Basis, low: float, high: float) -> Any:
    """A field with its unit, source and the interval an override must lie in, ends included."""
    return field(default=default, metadata={"unit": unit, "basis": source, "range": (low, high)})


@dataclass(frozen=True, kw_only=True)
class Limits:
    """Limits of rules B; a tuple holds the rising boundaries between neighbouring verdicts.

    Override with ``changed``; ``basis`` then says *set here* for what differs from the default.
    """

    volts_ratio: tuple[float, ...] = _limit((0.9, 1.1), "of rating", known.MG1_VOLTS, 0.5, 1.5)
    volts_near_ratio: float = _limit(0.05, "of rating", known.CHOICE, 0, 0.1)
    volts_unbalance_percent: tuple[float, ...] = _limit(
        (1.0, 2.0, 5.0), "%", known.MG1_UNBALANCE, 0, 20
    )
    lost_phase_ratio: float = _limit(0.10, "of the other two", known.PRACTICE, 0.01, 0.5)
    current_stop_ratio: float = _limit(1.25, "of full load", known.CHOICE, 1, 2)
    current_low_ratio: float = _limit(0.5, "of full load", known.CHOICE, 0, 1)
    current_unbalance_percent: tuple[float, ...] = _limit((10.0, 20.0), "%", known.PRACTICE, 0, 100)
    breaker_ratio: float = _limit(2.5, "of table current", known.NEC_BREAKER, 1, 4)
    winding_unbalance_percent: tuple[float, ...] = _limit((2.0, 5.0), "%", known.PRACTICE, 0, 100)
    insulation_megohm: tuple[float, ...] = _limit(
        (1.0, 5.0, 100.0), "megohm", known.IEEE_43, 0.001, 1e5
    )
    insulation_full_from_hp: float = _limit(1.0, "hp", known.IEEE_43, 0, 100)
    pole_ratio: float = _limit(1.5, "of lowest pole", known.NETA_CONTACT, 1, 10)
    pole_multimeter_ohm: float = _limit(0.5, "ohm", known.CHOICE, 0.01, 10)
    lead_at_most_ohm: float = _limit(1.0, "ohm", known.CHOICE, 0, 10)
    capacitor_tolerance_percent: float = _limit(6.0, "%", known.PRACTICE, 0, 50)
    capacitor_watch_percent: float = _limit(10.0, "%", known.PRACTICE, 0, 50)
    vibration_small_to_hp: float = _limit(5.0, "hp", known.FAN_VIBRATION, 0.1, 100)
    vibration_stop_ratio: float = _limit(1.25, "of alarm", known.CHOICE, 1, 3)
    vibration: Mapping[VibrationKey, VibrationLimits] = field(
        default_factory=_iso_14694,
        metadata={"unit": "by column", "basis": known.FAN_VIBRATION, "range": (0.01, 100.0)},
    )
    grease_duct_um: float = _limit(2000.0, "um", known.GREASE_DUCT, 50, 20_000)
    grease_housing_um: float = _limit(3175.0, "um", known.GREASE_HOUSING, 50, 20_000)
    grease_watch_ratio: float = _limit(0.75, "of limit", known.CHOICE, 0.1, 1)
    temperature_difference_k: tuple[float, ...] = _limit(
        (1.0, 4.0, 15.0), "K", known.NETA_HEAT, 0, 200
    )
    belt_ratio: tuple[float, ...] = _limit(
        (0.75, 1.5, 2.0), "of handbook deflection", known.CHOICE, 0.1, 10
    )
    sheave_wear_in: float = _limit(1 / 32, "in", known.BELT_HANDBOOK, 0.001, 1)

    def __post_init__(self) -> None:
        for entry in fields(self):
            _refuse_impossible(entry, getattr(self, entry.name))

    def changed(self, **values: Any) -> Limits:
        """A copy with other values; LimitError names an unknown limit or an impossible value."""
        unknown = sorted(set(values) - {entry.name for entry in fields(self)})
        if unknown:
            raise LimitError(f"{', '.join(unknown)}: no such limit; see the fields of Limits")
        return replace(self, **values)

    def basis(self, name: str) -> Basis:
        """Where the value of limit ``name`` comes from: its default's source, or *set here*."""
        return self._bases[name]

    @cached_property
    def _bases(self) -> dict[str, Basis]:
        return {
            entry.name: entry.metadata["basis"]
            if getattr(self, entry.name) == getattr(DEFAULT_LIMITS, entry.name)
            else Basis("set here", "", "", SET_HERE)
            for entry in fields(self)
        }

    def grease_limit_um(self, place: str) -> float:
        """Depth [um] at which ``place`` (hood, duct, housing) must be cleaned."""
        return self.grease_housing_um if place == "housing" else self.grease_duct_um

    def grease_limit(self, place: str, unit: str) -> float:
        """The same depth in ``unit``, as that unit's comb is marked."""
        limit_um = self.grease_limit_um(place)
        return _COMB_MARKS.get((limit_um, unit)) or convert(limit_um, "um", unit)

    def vibration_category(self, power_hp: float) -> str:
        """ISO 14694 category of a ventilation fan of that power."""
        return "BV-2" if power_hp <= self.vibration_small_to_hp else "BV-3"

    def vibration_limits(
        self, power_hp: float, mounting: str, unit: str, detector: str
    ) -> VibrationLimits | None:
        """Start-up, alarm and stop limits in ``unit`` of ``detector``, or None without a column.

        Any ``mounting`` but ``flexible`` counts as rigid; a category without a shutdown number
        stops at ``vibration_stop_ratio`` times its alarm.
        """
        row = "flexible" if mounting == "flexible" else "rigid"
        found = self.vibration.get((self.vibration_category(power_hp), row, unit, detector))
        if found is None or found.stop is not None:
            return found
        return replace(found, stop=found.alarm * self.vibration_stop_ratio)

    def vibration_basis(self, category: str, unit: str, verdict: str = "") -> Basis:
        """Source of one column: BV-2 and inches are from memory, a stop the table lacks is ours."""
        rows = [limits for column, limits in self.vibration.items() if column[0] == category]
        if verdict == "stop" and all(limits.stop is None for limits in rows):
            return self.basis("vibration_stop_ratio")
        source = self.basis("vibration")
        recalled = category == "BV-2" or unit == "in/s"
        return known.FAN_VIBRATION_MEMORY if recalled and source.standing != SET_HERE else source


# A comb in inches prints 2000 um as 0.078.
_COMB_MARKS = {
    (2000.0, "in"): 0.078, (2000.0, "mil"): 78.0, (3175.0, "in"): 0.125, (3175.0, "mil"): 125.0,
}  # fmt: skip


def _refuse_impossible(entry: Field[Any], value: Any) -> None:
    low, high = entry.metadata["range"]
    count = len(entry.default) if isinstance(entry.default, tuple) else None
    rows = _rows(value)
    possible = all(_rising_within(row, low, high) for row in rows)
    if not possible or (count is not None and [len(row) for row in rows] != [count]):
        raise LimitError(
            f"{entry.name} = {value!r}: expected {count or 'one'} rising number(s) in "
            f"[{low:g}, {high:g}] ({entry.metadata['unit']})"
        )


def _rows(value: Any) -> list[tuple[Any, ...]]:
    """The value as rows of numbers that must rise."""
    if isinstance(value, Mapping):
        cells = [(row.start, row.alarm, row.stop) for row in value.values()]
        return [tuple(n for n in row if n is not None) for row in cells]
    return [value if isinstance(value, tuple) else (value,)]


def _rising_within(row: tuple[Any, ...], low: float, high: float) -> bool:
    numbers = all(isinstance(n, (int, float)) and low <= n <= high for n in row)
    return numbers and all(a <= b for a, b in pairwise(row))


DEFAULT_LIMITS = Limits()
