"""A sheet's sentences, alike on a terminal and on a page."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.models import Site
from schedules.models import PlannedRound, PlannedStop
from schedules.rounds.sheet import CureLine, FanLine, WeekSheet, is_late, past_shift_minutes
from schedules.wording.bookings import technician_name
from schedules.wording.days import day_text
from schedules.wording.money import money_text
from schedules.wording.rounds import length_text


def load_texts(row: PlannedRound) -> list[str]:
    """How a round fills its day: driving, what stays free, what goes beyond it."""
    told = [
        _("driving {time}, {km} km").format(
            time=length_text(row.travel_minutes), km=f"{row.travel_m / 1000:.0f}"
        ),
        _("{time} free").format(time=length_text(row.free_minutes)),
    ]
    past = past_shift_minutes(row)
    if (used := row.overtime_minutes - past) > 0:
        told.append(_("{time} of the reserve used").format(time=length_text(used)))
    if past:
        sentence = _("back {time} after the shift's end, overtime that is allowed")
        if is_late(row):
            sentence = _("back {time} after the shift's end, more overtime than is allowed")
        told.append(sentence.format(time=length_text(past)))
    return told


def stake_text(row: PlannedStop) -> str:
    """What coming costs the round, and what waiting is reckoned to cost."""
    return _("coming costs {coming}, waiting {waiting}").format(
        coming=money_text(round(row.detour_cost)), waiting=money_text(round(row.prize))
    )


def beside_text(row: PlannedStop) -> str:
    """What a stop's booking takes beside the work on its fans."""
    told = _("{time} booked beside that").format(time=length_text(row.extra_minutes))
    return f"{told} {row.booking.note if row.booking else ''}".rstrip()


def fans_text(lines: Sequence[FanLine]) -> str:
    """``EF-1, EF-3 walk-through; EF-2 code inspection``: fans by what they are due for."""
    by_fan: dict[str, list[str]] = {}
    for line in lines:
        by_fan.setdefault(line.row.fan.tag, []).extend(line.rules)
    by_rules: dict[str, list[str]] = {}
    for tag, rules in by_fan.items():
        by_rules.setdefault(" + ".join(dict.fromkeys(rules)), []).append(tag)
    return "; ".join(f"{', '.join(tags)} {rules}" for rules, tags in by_rules.items())


def overload_texts(sheet: WeekSheet) -> Iterator[str]:
    """What has no place, what would make room, what waiting costs; none where all fits."""
    told = sheet.overload
    if not told:
        return
    if late := sheet.overloaded("late"):
        yield ngettext(
            "One site is visited only after its last day: {sites}.",
            "{count} sites are visited only after their last day: {sites}.",
            len(late),
        ).format(count=len(late), sites=_names(late))
    if not told["sites"]:
        return
    short = sheet.overloaded("sites")
    yield ngettext(
        "One site that must not wait has no place, {time} of work too much: {sites}.",
        "{count} sites that must not wait have no place, {time} of work too much: {sites}.",
        len(short),
    ).format(count=len(short), time=length_text(told["minutes"]), sites=_names(short))
    for cure in sheet.cures:
        yield _cure_text(cure)
    for name, sentence in (
        ("days_leave", _("No day more of anybody would do {sites}.")),
        ("overtime_leaves", _("No overtime would do {sites}.")),
    ):
        if left := sheet.overloaded(name):
            yield sentence.format(sites=_names(left))
    waiting = _("If they wait for the next week, that is reckoned to cost {cost}.")
    yield waiting.format(cost=money_text(round(told["delay_cost"])))


def _names(sites: Sequence[Site]) -> str:
    return ", ".join(site.name for site in sites)


def _cure_text(cure: CureLine) -> str:
    who = technician_name(cure.technician) if cure.technician else "?"
    sites = _names(cure.sites)
    if cure.minutes is None:
        told = _("One more technician-day, such as {who} has on {day}, would do {sites}.")
        return told.format(who=who, day=day_text(cure.day), sites=sites)
    told = _("Or {time} more overtime of {who} on {day} would do {sites}.")
    return told.format(time=length_text(cure.minutes), who=who, day=day_text(cure.day), sites=sites)


def sums_texts(sheet: WeekSheet) -> Iterator[str]:
    """The week's sums: rounds, stops and driving, then money."""
    figures: Mapping[str, float] = sheet.version.figures
    if not figures:
        return
    stops = sum(len(row.stops.all()) for row in sheet.rounds)
    yield _("{rounds} rounds, {stops} stops; driving {time}, {km} km.").format(
        rounds=len(sheet.rounds), stops=stops, time=length_text(figures["travel_minutes"]),
        km=f"{figures['travel_m'] / 1000:.0f}",
    )  # fmt: skip
    if figures.get("ways_estimated"):
        yield _(
            "{count} of its {ways} ways have no travel time on record and are estimated."
        ).format(count=figures["ways_estimated"], ways=figures["ways"])
    money = {
        name: money_text(round(figures[name]))
        for name in ("rounds_cost", "waiting_avoided", "waiting_left")
    }
    yield _(
        "Rounds cost {rounds_cost}; they avoid {waiting_avoided} of waiting and leave "
        "{waiting_left}."
    ).format(**money)
