"""Makes a record that two reckonings disagree on as small as it gets, to be read by a person."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import MISSING, fields, is_dataclass, replace
from itertools import islice
from typing import Any

from schedules.engine.record import FanRecord

Disagrees = Callable[[FanRecord], bool]


def _default(field: Any) -> Any:
    if field.default is not MISSING:
        return field.default
    return field.default_factory() if field.default_factory is not MISSING else MISSING


def _smaller(value: Any) -> Iterator[Any]:
    """Values one step simpler: an element left out, or one made simpler, or a field as usual."""
    if isinstance(value, tuple):
        for i in range(len(value)):
            yield value[:i] + value[i + 1 :]
            for simpler in _smaller(value[i]):
                yield (*value[:i], simpler, *value[i + 1 :])
    elif isinstance(value, frozenset):
        for element in sorted(value, key=str):
            yield value - {element}
    elif isinstance(value, Mapping):
        for key in value:
            yield {k: v for k, v in value.items() if k != key}
    elif is_dataclass(value) and not isinstance(value, type):
        for field in fields(value):
            now, usual = getattr(value, field.name), _default(field)
            if usual is not MISSING and repr(now) != repr(usual):  # NaN differs from itself
                yield replace(value, **{field.name: usual})
            for simpler in _smaller(now):
                yield replace(value, **{field.name: simpler})


def _still(record: FanRecord, disagrees: Disagrees) -> bool:
    if not record.machines or any(look.machine >= len(record.machines) for look in record.looks):
        return False
    return disagrees(record)


def smallest(record: FanRecord, disagrees: Disagrees) -> FanRecord:
    """Takes away whatever can go while the two still disagree."""
    shrunk = True
    while shrunk:
        shrunk, tried = False, 0
        while (simpler := next(islice(_smaller(record), tried, None), None)) is not None:
            if _still(simpler, disagrees):
                record, shrunk = simpler, True
            else:
                tried += 1
    return record


def told(value: Any) -> str:
    """A value as Python would write it, without the fields that are as usual."""
    if isinstance(value, tuple):
        return "(" + ", ".join(told(one) for one in value) + ("," if len(value) == 1 else "") + ")"
    if is_dataclass(value) and not isinstance(value, type):
        unusual = [f for f in fields(value) if repr(getattr(value, f.name)) != repr(_default(f))]
        named = ", ".join(f"{f.name}={told(getattr(value, f.name))}" for f in unusual)
        return f"{type(value).__name__}({named})"
    return repr(value)
