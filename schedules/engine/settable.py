"""Numbers a service company may change: each with unit, interval, source and standing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import Field, dataclass, field, fields, replace
from enum import StrEnum
from math import isfinite
from typing import Any, TypeVar

from schedules.engine.errors import ParameterError

Settings = TypeVar("Settings", bound="Group")


class Standing(StrEnum):
    """How well a number is founded; shown wherever the number is shown."""

    CONFIRMED = "confirmed"
    ONE_SOURCE = "one source"
    FROM_MEMORY = "from memory"
    COMMON_PRACTICE = "common practice"
    OUR_CHOICE = "our choice"


@dataclass(frozen=True)
class About:
    """What is known of a number: unit, the closed interval it must lie in, where it is from."""

    unit: str
    low: float
    high: float
    source: str
    standing: Standing


@dataclass(frozen=True)
class Setting:
    """One number in force, under its dotted name, with what is known of it."""

    name: str
    value: float
    default: float
    about: About


def number(
    default: float,
    unit: str,
    between: tuple[float, float],
    source: str = "",
    standing: Standing = Standing.OUR_CHOICE,
) -> Any:
    """Declare a field of a ``Group``: default, unit, closed interval, source and standing."""
    about = About(unit, *between, source, standing)
    return field(default=default, metadata={"about": about})


class Group:
    """Base of frozen dataclasses whose fields are ``number``s or further groups."""

    def __post_init__(self) -> None:
        for entry in fields(self):  # type: ignore[arg-type]
            if "about" in entry.metadata:
                _check(type(self).__name__, entry, getattr(self, entry.name))

    def overridden(self: Settings, changes: Mapping[str, float]) -> Settings:
        """Return a copy with ``changes`` by dotted name, as ``{"grease.lead_days": 10}``.

        Raises ParameterError for names nobody knows and values outside their interval.
        """
        known = {setting.name for setting in self.settings()}
        for name in changes:
            if name not in known:
                raise ParameterError(
                    f"{name!r} is no setting; known are {', '.join(sorted(known))}"
                )
        return _changed(self, changes)

    def settings(self, prefix: str = "") -> Iterator[Setting]:
        """Every number in force, in the order declared."""
        for entry in fields(self):  # type: ignore[arg-type]
            value = getattr(self, entry.name)
            if isinstance(value, Group):
                yield from value.settings(f"{prefix}{entry.name}.")
            else:
                default: Any = entry.default
                yield Setting(prefix + entry.name, value, default, entry.metadata["about"])


def _check(group: str, entry: Field[Any], value: Any) -> None:
    about: About = entry.metadata["about"]
    right_kind = isinstance(value, int | float) and not isinstance(value, bool) and isfinite(value)
    if not right_kind or not about.low <= value <= about.high:
        raise ParameterError(
            f"{group}.{entry.name} is {value!r} {about.unit}; "
            f"expected a number in [{about.low:g}, {about.high:g}]"
        )
    # Days and counts index days and ranks: a half would only surface far from here.
    if isinstance(entry.default, int) and value != int(value):
        raise ParameterError(
            f"{group}.{entry.name} is {value!r} {about.unit}; expected a whole number"
        )


def _changed(group: Settings, changes: Mapping[str, float]) -> Settings:
    """All changes of a group at once, since numbers that belong together are checked together."""
    inner: dict[str, dict[str, float]] = {}
    here: dict[str, Any] = {}
    for path, value in changes.items():
        name, _, rest = path.partition(".")
        if rest:
            inner.setdefault(name, {})[rest] = value
        else:
            here[name] = value
    here |= {name: _changed(getattr(group, name), below) for name, below in inner.items()}
    return replace(group, **here)  # type: ignore[type-var]
