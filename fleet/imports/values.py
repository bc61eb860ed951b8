"""From what a cell said to what the model's field holds, and back to text for people."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from fleet.imports.columns import BY_KEY
from fleet.models import Machine
from fleet.opening import Opening, opening_text
from fleet.ratings import Unreadable

Values = dict[str, Any]


def name_key(name: str) -> str:
    """What makes two names the same: neither case nor, by reading, spaces count."""
    return name.casefold()


def field_values(part: str, said: Mapping[str, Any]) -> Values:
    """The values of one part as its model keeps them."""
    values = dict(said)
    for field, value in said.items():
        if isinstance(value, Opening) and part == "site":
            values[field] = value.spans
    if part == "agreement":
        return _agreement(values)
    if part == "feed":
        return _feed(values)
    return values


def _agreement(values: Values) -> Values:
    if values.get("visits_per_year") == "as due":
        values["visits_per_year"] = None
    if "spending_limit" in values:
        values["spending_limit"] = Decimal(str(values["spending_limit"])).quantize(Decimal("0.01"))
    return values


def _feed(values: Values) -> Values:
    if values.get("overload_setting_a") == "none":
        values |= {"overload_setting_a": None, "overload_present": False}
    elif "overload_setting_a" in values:
        values.setdefault("overload_present", True)
    return values


def plate_values(said: Mapping[str, Any], unreadable_before: list[str]) -> Values:
    """Plate fields; what nobody could read is named in ``unreadable``, what is read leaves it."""
    unreadable = set(unreadable_before).difference(said)
    values: Values = {}
    for field, value in said.items():
        if isinstance(value, Unreadable):
            unreadable.add(field)
            values[field] = _empty(field)
        else:
            values[field] = value
    same = unreadable == set(unreadable_before)
    return {**values, "unreadable": list(unreadable_before) if same else sorted(unreadable)}


def _empty(field: str) -> Any:
    return getattr(Machine(), field)


def same_value(key: tuple[str, str], old: Any, new: Any) -> bool:
    """Whether nothing changes; a plate's ``1.0`` is its ``1``, a spreadsheet drops the zero."""
    if old == new:
        return True
    rating = key in BY_KEY and BY_KEY[key].kind == "rating"
    return bool(rating and old and new and _bare_rating(old) == _bare_rating(new))


def _bare_rating(printed: str) -> str:
    return re.sub(r"\.0+(?!\d)", "", printed)


def value_text(value: Any) -> str:
    """A value as a person would write it in the file; nothing for nothing."""
    if value is None or value == "" or value == []:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Opening):
        return opening_text(value.spans, always=value.always)
    if isinstance(value, float):
        return f"{value:.6g}"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, list):
        return opening_text(value) if _is_week(value) else "; ".join(map(value_text, value))
    return str(value)


def _is_week(value: list[Any]) -> bool:
    return len(value) == 7 and all(isinstance(day, list) for day in value)
