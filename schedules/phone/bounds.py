"""What a reading typed by itself would be judged as, as intervals a phone can look up; pure.

No rule of its own: where verdicts may change is asked of ``look_ahead``, and what holds between
two such places is what ``judge`` says of a reading there.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import pairwise
from math import inf
from typing import Any

from fleet.plates import Feed, Plate
from fleet.quantities import QUANTITIES, VERDICT_ORDER, Quantity, Verdict
from fleet.units import convert
from schedules.phone.ends import EndByMean, ends_by_mean
from visits.limits import (
    DEFAULT_LIMITS,
    SUBJECTS_AHEAD,
    Ahead,
    Context,
    Judgement,
    Reading,
    judge,
    look_ahead,
)
from visits.limits.case import LINES, Case, not_asked
from visits.limits.current import SERVICE_FACTORS, near_rating_v
from visits.limits.electrical import OVERLOAD_RATIOS

CONTEXTS: Mapping[str, tuple[str, tuple[str, ...]]] = {
    "vibration": ("vibration_detector", ("rms", "peak")),
    "pole": ("pole_meter", ("low_resistance", "multimeter")),
    "amps": ("amps_place", ("", "drive_output", "line")),
}
"""By limit rule, what explains a reading and the ways in which it can; the first is the usual."""
COMPARED = ("volts_unbalance", "amps_unbalance")
"""Subjects of several readings whose limits are no limits of one of them."""
SUBJECT_OF = {
    name: subject
    for subject, (names, _) in SUBJECTS_AHEAD.items()
    if subject not in COMPARED
    for name in names
}
AS_TYPED = ("vibration", "grease")
"""Rules whose limits are kept by unit: a figure is compared in the unit in which it was typed."""
LEAD_ZERO = "lead_zero_ohm"
NO_CONTEXT = Context()
REMARKS = {"amps.low": "amps.within"}
"""Codes that remark on what lies in another's band."""


@dataclass(frozen=True, slots=True)
class Bound:
    """Values from ``low`` to ``high`` get ``verdict``; None is without end.

    ``high_in`` says that ``high`` itself belongs here; where both ends are equal it is that value.
    """

    verdict: Verdict
    low: float | None
    high: float | None
    high_in: bool = False


@dataclass(frozen=True, slots=True)
class Lines:
    """When some of ``names`` are read: their mean [V] above one end, at most at the other.

    ``near`` is what each of ``all_of`` must lie between besides, ends included; None asks for
    nothing more.
    """

    names: tuple[str, ...]
    mean: tuple[float | None, float | None]
    all_of: tuple[str, ...] = ()
    near: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Alone:
    """What one reading gets by itself, in ``unit``, where ``context`` and ``lines`` hold.

    ``less`` names a reading that must be there too and is taken off first.

    ``over`` is what over range without a figure gets.  ``ahead`` has the limit for words; None
    where nothing is judged by this reading alone.
    """

    unit: str
    bounds: tuple[Bound, ...]
    over: Verdict | None
    ahead: Ahead | None
    context: Mapping[str, str] = field(default_factory=dict)
    lines: Lines | None = None
    less: str = ""


@lru_cache(maxsize=4096)
def alone(name: str, plate: Plate, feed: Feed) -> tuple[Alone, ...]:
    """Every way in which a reading called ``name`` is judged on this machine; the usual one first.

    Bounds rise and leave no gap.  A way with another unit, context or with lines goes before the
    first where it fits.
    """
    quantity = QUANTITIES[name]
    ways = [
        _way(_Asked(quantity, plate, feed, unit, context))
        for context in _contexts(quantity, feed)
        for unit in _units(quantity)
    ]
    usual = ways[0]
    kept = [way for way in ways[1:] if _differs(way, usual)]
    beside = [
        _way(replace(asked, known=known), lines, less)
        for asked, known, lines, less in _beside(_Asked(quantity, plate, feed, quantity.unit))
    ]
    return usual, *kept, *beside


@dataclass(frozen=True, slots=True)
class _Asked:
    """One reading to be asked about, beside ``known`` ones."""

    quantity: Quantity
    plate: Plate
    feed: Feed
    unit: str
    context: Context = NO_CONTEXT
    known: Mapping[str, float] = field(default_factory=dict)

    @property
    def case(self) -> Case:
        """What limits are asked for: plate, feed and context, without a reading."""
        return Case(self.plate, self.feed, self.context, DEFAULT_LIMITS)

    def judged(self, value: float | None, qualifier: str = "") -> Judgement | None:
        """The worst that is said of it; None where nothing is."""
        name = self.quantity.name
        told = judge(
            {**self.known, name: Reading(value, self.unit, qualifier)},
            plate=self.plate, feed=self.feed, context=self.context,
        )  # fmt: skip
        own = [each for each in told if each.quantity == name]
        return max(own, key=lambda each: VERDICT_ORDER[each.verdict], default=None)

    def ahead(self) -> Ahead | None:
        """The limit of its subject, in its unit where limits are kept by unit."""
        name = self.quantity.name
        subject = SUBJECT_OF.get(name)
        if subject is None:
            return None
        names = SUBJECTS_AHEAD[subject][0]
        told = look_ahead(
            [subject], plate=self.plate, feed=self.feed, known=self.known,
            context=self.context, units=dict.fromkeys(names, self.unit),
        )  # fmt: skip
        return told[0] if told else None


def _contexts(quantity: Quantity, feed: Feed) -> list[Context]:
    name, values = CONTEXTS.get(quantity.rule, ("", ("",)))
    if name == "amps_place" and feed.control != "drive":
        values = ("",)
    told: list[dict[str, Any]] = [{name: value} if name else {} for value in values]
    return [Context(**each) for each in told]


def _units(quantity: Quantity) -> Sequence[str]:
    if quantity.rule in AS_TYPED:
        return list(dict.fromkeys((quantity.unit, *quantity.accepted)))
    return [quantity.unit]


def _way(asked: _Asked, lines: Lines | None = None, less: str = "") -> Alone:
    ahead = asked.ahead()
    over = asked.judged(None, "over") if "over" in asked.quantity.qualifiers else None
    name = CONTEXTS.get(asked.quantity.rule, ("", ()))[0]
    value = getattr(asked.context, name) if name else ""
    return Alone(
        asked.unit, tuple(_bounds(asked, _cuts(asked, ahead))),
        None if over is None else over.verdict, ahead,
        {name: value} if value else {}, lines, less,
    )  # fmt: skip


def _differs(way: Alone, usual: Alone) -> bool:
    """Whether a way says anything else; figures in another unit may be the same limit."""
    if (way.context, way.over) != (usual.context, usual.over):
        return True
    ends = [_ends(each.bounds, each.unit, usual.unit) for each in (way, usual)]
    return ends[0] != ends[1]


def _ends(bounds: Iterable[Bound], unit: str, to: str) -> list[tuple[str, float | None, bool]]:
    return [
        (
            bound.verdict,
            None if bound.high is None else float(f"{convert(bound.high, unit, to):.9g}"),
            bound.high_in,
        )
        for bound in bounds
    ]


def _cuts(asked: _Asked, ahead: Ahead | None) -> list[float]:
    """Where the verdict may change, rising; too many do no harm."""
    found = {0.0}
    if ahead is not None and ahead.unit not in ("%", "of_lowest", "megohm"):
        found |= {convert(cut, ahead.unit or asked.unit, asked.unit) for cut in ahead.cuts}
    limits, args = DEFAULT_LIMITS, ahead.args if ahead else {}
    if full_load_a := args.get("full_load_a"):
        ratios = (1.0, limits.current_stop_ratio, *SERVICE_FACTORS, *OVERLOAD_RATIOS)
        found |= {ratio * full_load_a for ratio in ratios}
    if asked.context.pole_meter == "multimeter":
        at = limits.pole_multimeter_ohm
        found |= {at, at + limits.lead_at_most_ohm}
    return sorted(found)


def _bounds(asked: _Asked, cuts: Sequence[float]) -> Iterator[Bound]:
    """Intervals between cuts, those that get the same for the same reason being one."""
    inside = [(low + high) / 2 for low, high in pairwise(cuts)]
    below = asked.judged(cuts[0] / 2) if cuts[0] > 0 else None
    between = [below, *map(asked.judged, inside), asked.judged(cuts[-1] * 2 + 1)]
    at = [asked.judged(cut) for cut in cuts]
    if all(each is None for each in (*between, *at)):
        return
    low: float | None = None
    for place, cut in enumerate(cuts):
        before, here, after = between[place], at[place], between[place + 1]
        if _same(before, here) and _same(here, after):
            continue
        if before is not None:
            yield Bound(_verdict(before), low, cut, high_in=_same(before, here))
        if not _same(before, here) and not _same(here, after):
            yield Bound(_verdict(here), cut, cut, high_in=True)
        low = cut
    yield Bound(_verdict(between[-1]), low, None)


def intervals(
    quantity: Quantity, plate: Plate, feed: Feed, known: Mapping[str, float], cuts: Sequence[float]
) -> tuple[Bound, ...]:
    """What a reading beside ``known`` ones gets between ``cuts``, in the registry's units."""
    asked = _Asked(quantity, plate, feed, quantity.unit, known=known)
    return tuple(_bounds(asked, cuts))


def _same(one: Judgement | None, other: Judgement | None) -> bool:
    if one is None or other is None:
        return one is other
    return (one.verdict, REMARKS.get(one.code, one.code)) == (
        other.verdict,
        REMARKS.get(other.code, other.code),
    )


def _verdict(judged: Judgement | None) -> Verdict:
    return "cannot_judge" if judged is None else judged.verdict


_Beside = tuple[_Asked, Mapping[str, float], Lines | None, str]


def _beside(asked: _Asked) -> Iterator[_Beside]:
    """Readings beside which this one is judged otherwise, each with what to ask it by."""
    if asked.quantity.rule == "pole":
        by_multimeter = replace(asked, context=Context(pole_meter="multimeter"))
        yield by_multimeter, {LEAD_ZERO: 0.0}, None, LEAD_ZERO
    elif asked.quantity.rule in ("amps", "overload"):
        behind = asked.feed.control == "drive" and asked.quantity.rule == "amps"
        context = Context(amps_place="drive_output") if behind else NO_CONTEXT
        names = tuple(name for name in LINES if not not_asked(QUANTITIES[name], asked.case))
        for end in ends_by_mean(asked.plate, asked.feed) if names else ():
            for known, lines in _lines(asked, end, names):
                yield replace(asked, context=context), known, lines, ""


def _lines(
    asked: _Asked, end: EndByMean, names: tuple[str, ...]
) -> Iterator[tuple[Mapping[str, float], Lines]]:
    """Lines whose mean names this end: all near what they should be, else whatever they are."""
    case = asked.case
    case.end = end.end
    near_v, all_of = near_rating_v(case), LINES[:1] if case.is_three_phase is False else LINES
    low, high = end.low or 0.0, end.high or inf
    if near_v is not None and asked.quantity.rule == "amps" and set(names).issuperset(all_of):
        slack = DEFAULT_LIMITS.volts_near_ratio * near_v
        near = (near_v - slack, near_v + slack)
        least, most = max(low, near[0]), min(high, near[1])
        if least < most:
            known = dict.fromkeys(names, (least + most) / 2)
            yield known, Lines(names, (end.low, end.high), all_of, near)
    # one line alone tells the end, and never that all are near
    beyond = low * 2 + 1 if high == inf else (low + high) / 2
    known = {name: beyond for name in names if name != all_of[0]} or {names[0]: beyond}
    yield known, Lines(names, (end.low, end.high))


def states_told(name: str, plate: Plate, feed: Feed, *, slight_before: bool) -> dict[str, Verdict]:
    """States of a seen item that mean something else here than in the registry."""
    quantity, found = QUANTITIES[name], {}
    for state in quantity.states:
        context = Context(slight_before=slight_before)
        told = judge({name: state.code}, plate=plate, feed=feed, context=context)
        verdict = next((each.verdict for each in told if each.quantity == name), None)
        if verdict is not None and verdict != state.verdict:
            found[state.code] = verdict
    return found


def is_asked(name: str, plate: Plate, feed: Feed) -> bool:
    """Whether a reading is asked of this motor at all."""
    return not not_asked(QUANTITIES[name], Case(plate, feed, Context(), DEFAULT_LIMITS))
