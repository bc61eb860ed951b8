"""What to bring on a round, in words: parts perhaps needed, and what readings are taken with."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from schedules.fan_page.plate import PLATE_WORDS, UNITS
from schedules.round_sheet.gathering import RoundFile
from schedules.round_sheet.parts import PARTS, Guess, Reason
from schedules.round_sheet.taking import instruments_for
from schedules.wording import day_text
from visits.wording import VERDICTS, figure, subject_words, words
from visits.wording.names import Words, upper_first

PART_WORDS: Words = {
    "belt": gettext_lazy("belt"),
    "sheaves": gettext_lazy("sheaves"),
    "bearings": gettext_lazy("bearings"),
    "grease": gettext_lazy("grease, the kind that is in the bearings or the maker names"),
    "capacitor": gettext_lazy("run capacitor"),
    "switch": gettext_lazy("disconnecting switch"),
    "switch_cover": gettext_lazy("switch cover, gasket and screws"),
    "cable": gettext_lazy("flexible cable with its fittings"),
    "hinge": gettext_lazy("hinge"),
    "catch": gettext_lazy("hold-open catch"),
    "grease_box": gettext_lazy("grease box or its filling"),
    "guard": gettext_lazy("guard and its fixings"),
    "curb_seal": gettext_lazy("seal and screws for the curb"),
    "setscrews": gettext_lazy("setscrews"),
    "wheel": gettext_lazy("wheel"),
    "wheel_cleaning": gettext_lazy("what the wheel is cleaned with"),
    "fuses": gettext_lazy("fuses, of the size that is in"),
    "terminals": gettext_lazy("lugs and terminals"),
    "overload": gettext_lazy("overload"),
    "motor": gettext_lazy("motor"),
    "hood_switch": gettext_lazy("hood switch"),
    "heat_sensor": gettext_lazy("heat sensor"),
}
INSTRUMENT_WORDS: Words = {
    "vibration_meter": gettext_lazy("vibration meter"),
    "grease_comb": gettext_lazy("grease comb"),
    "belt_gauge": gettext_lazy("belt tension gauge and rule"),
    "sheave_gauge": gettext_lazy("sheave gauge"),
    "insulation_tester": gettext_lazy("insulation tester and thermometer"),
    "low_ohm_meter": gettext_lazy("low-resistance meter"),
    "capacitance_meter": gettext_lazy("capacitance meter"),
    "multimeter": gettext_lazy("multimeter and proving unit"),
    "clamp_meter": gettext_lazy("clamp meter"),
    "heat_camera": gettext_lazy("infrared camera"),
}
SIZE_WORDS: Words = {
    **PLATE_WORDS,
    "switch": gettext_lazy("as recorded"),
    "poles": gettext_lazy("poles"),
    "capacitor_tolerance_percent": gettext_lazy("tolerance"),
}
SIZE_UNITS = {**UNITS, "power_hp": "hp", "capacitor_tolerance_percent": "%"}
BARE = ("belt", "sheaves", "wheel", "capacitor_uf")
"""Sizes that need no name beside their part's."""
BY_SIZE = frozenset(row.part for row in PARTS if row.sizes)


@dataclass(frozen=True)
class PackLine:
    """A part with its size, and for which fan it is thought of and why."""

    what: str
    reasons: list[str]


def pack_lines(file: RoundFile) -> list[PackLine]:
    """Parts of the whole round, those alike gathered into one line."""
    found: dict[str, list[str]] = {}
    for stop in file.stops:
        for fan in stop.fans:
            for guess in fan.parts:
                why = f"{fan.fan.tag}, {stop.row.site.name}: {_reasons(guess.reasons)}"
                found.setdefault(_part(guess), []).append(why)
    return [PackLine(what, reasons) for what, reasons in sorted(found.items())]


def instrument_words(file: RoundFile) -> str:
    """What the round's readings are taken with."""
    quantities = {
        name
        for stop in file.stops
        for fan in stop.fans
        for ahead in fan.ahead
        for name in ahead.quantities
    }
    return ", ".join(words(INSTRUMENT_WORDS, tool) for tool in instruments_for(quantities))


def _part(guess: Guess) -> str:
    name = upper_first(words(PART_WORDS, guess.part))
    sizes = ", ".join(_size(field, value) for field, value in guess.size)
    if not sizes and guess.part in BY_SIZE:
        sizes = _("size not on record, look first")
    return f"{name}: {sizes}" if sizes else name


def _size(field: str, value: object) -> str:
    told = figure(value, SIZE_UNITS.get(field, ""))
    return told if field in BARE else f"{words(SIZE_WORDS, field).lower()} {told}"


def _reasons(reasons: Iterable[Reason]) -> str:
    return "; ".join(map(_reason, reasons))


def _reason(reason: Reason) -> str:
    if reason.kind == "due":
        return _("regreasing due")
    day, subject = day_text(reason.day) if reason.day else "", subject_words(reason.subject)
    if reason.kind == "finding":
        verdict = words(VERDICTS, reason.verdict)
        return _("{subject} {verdict}, seen {day}").format(
            subject=subject, verdict=verdict, day=day
        )
    if not day:
        return _("{subject}: advised, the agreement leaves it to us").format(subject=subject)
    return _("{subject}: the owner agreed on {day}").format(subject=subject, day=day)
