"""The limits of one fan's readings as a phone is told them: intervals, and in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from fleet.plates import Feed, Plate
from schedules.phone.bounds import Alone, Bound, Lines, alone, states_told
from schedules.phone.derived import Derived, derived
from visits.limits import Ahead
from visits.wording.ahead import limits_note, limits_text, short_basis

Told = dict[str, Any]


def tell_reading(name: str, plate: Plate, feed: Feed, context: Mapping[str, str]) -> Told:
    """By what one reading is judged, as it was taken last, and every other way."""
    ways = alone(name, plate, feed)
    usual = next((way for way in ways if _fits(way, context)), ways[0])
    others = [way for way in ways if way is not usual]
    first = _way(usual)
    if usual is not ways[0] or usual.context:
        first["context"] = dict(usual.context)
    return first | ({"variants": [_variant(way, usual) for way in others]} if others else {})


def _fits(way: Alone, context: Mapping[str, str]) -> bool:
    is_usual_unit = way.lines is None and not way.less and way.context
    return bool(is_usual_unit) and all(context.get(k) == v for k, v in way.context.items())


def _variant(way: Alone, usual: Alone) -> Told:
    when: Told = dict(way.context)
    if way.unit != usual.unit:
        when["unit"] = way.unit
    if way.lines:
        when["volts"] = _lines(way.lines)
    if way.less:
        when["less"] = way.less
    return {"when": when, **_way(way)}


def _lines(lines: Lines) -> Told:
    told: Told = {"fields": list(lines.names), "mean": list(lines.mean)}
    if lines.near is None:
        return told
    return told | {"near": {"fields": list(lines.all_of), "between": list(lines.near)}}


def _way(way: Alone) -> Told:
    told: Told = {"bounds": tell_bounds(way.bounds)}
    if way.over:
        told["over"] = way.over
    return told | _words(way.ahead)


def _words(ahead: Ahead | None) -> Told:
    if ahead is None:
        return {}
    told = {
        "limit_words": limits_text(ahead),
        "note": limits_note(ahead),
        "basis": short_basis(ahead),
    }
    return {name: text for name, text in told.items() if text}


def tell_bounds(bounds: Iterable[Bound]) -> list[Told]:
    """Each interval; ``high_in`` is told where its upper end belongs to it."""
    return [
        {"verdict": bound.verdict, "low": bound.low, "high": bound.high}
        | ({"high_in": True} if bound.high_in else {})
        for bound in bounds
    ]


def tell_derived(plate: Plate, feed: Feed, offered: Iterable[str]) -> list[Told]:
    """What is judged of several readings together, where all of them are offered."""
    names = set(offered)
    return [_derived(each) for each in derived(plate, feed) if names.issuperset(each.fields)]


def _derived(told: Derived) -> Told:
    found: Told = {
        "code": told.code,
        "fields": list(told.fields),
        "how": told.how,
        "bounds": tell_bounds(told.bounds),
        **_words(told.ahead),
    }
    if told.context:
        found["when"] = dict(told.context)
    if told.factors:
        found["factors"] = {"from": min(told.factors), "each": list(told.factors.values())}
    return found


def tell_states(name: str, plate: Plate, feed: Feed, *, slight_before: bool) -> Told:
    """States of a seen item that mean something else at this fan."""
    found = states_told(name, plate, feed, slight_before=slight_before)
    return {"states": found} if found else {}
