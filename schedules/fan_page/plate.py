"""What a fan is: its machine's nameplate as on the plate, its feed, the machines before it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, pgettext_lazy

from fleet.models import Feed, Machine
from fleet.plates import Connected, connected_rating, unreadable_parts
from fleet.ratings import Part, PlateError, Rating, parse_ratings
from fleet.units import KW_PER_HP, convert
from schedules.fan_page.gathering import FanFile
from schedules.wording import day_text
from visits.judging import feed_of, judge_feed, plate_of
from visits.wording import (
    VERDICTS,
    basis_words,
    figure,
    judgement_sentence,
    number_text,
    words,
)
from visits.wording.names import Words, upper_first

MOTOR_TYPES: Words = {
    "three_phase": gettext_lazy("three-phase"),
    "psc": gettext_lazy("single-phase with run capacitor (PSC)"),
    "ec": gettext_lazy("EC, electronics built in"),
    "other": gettext_lazy("other"),
}
CONTROLS: Words = {
    "none": gettext_lazy("none, across the line"),
    "triac": gettext_lazy("triac"),
    "drive": pgettext_lazy("speed control", "drive"),
    "drive_bypassed": gettext_lazy("drive, bypassed"),
}
PLATE_WORDS: Words = {
    "model": gettext_lazy("Model"),
    "serial": gettext_lazy("Serial"),
    "motor_type": gettext_lazy("Motor"),
    "phases": gettext_lazy("Phases"),
    "volts": gettext_lazy("Volts"),
    "full_load_amps": gettext_lazy("Full-load amperes"),
    "power_hp": gettext_lazy("Power"),
    "speed_rpm": gettext_lazy("Speed"),
    "hertz": gettext_lazy("Frequency"),
    "service_factor": gettext_lazy("Service factor"),
    "insulation_class": gettext_lazy("Insulation class"),
    "ambient_c": gettext_lazy("Ambient"),
    "temperature_rise_c": gettext_lazy("Temperature rise"),
    "frame": gettext_lazy("Frame"),
    "thermally_protected": gettext_lazy("Thermal protector"),
    "capacitor_uf": gettext_lazy("Capacitor"),
    "drive": gettext_lazy("Drive"),
    "wheel": gettext_lazy("Wheel"),
    "belt": gettext_lazy("Belt"),
    "sheaves": gettext_lazy("Sheaves"),
    "bearings": gettext_lazy("Bearings"),
    "bearing_type": gettext_lazy("Bearing type"),
    "bore_mm": gettext_lazy("Bore"),
    "shaft_rpm": gettext_lazy("Shaft speed"),
    "shaft": gettext_lazy("Shaft"),
    "mounting": gettext_lazy("Mounting"),
    "maker_regrease_h": gettext_lazy("Regrease, by the maker"),
    "weight_kg": gettext_lazy("Weight"),
}
SHOWN_APART = ("model", "serial", "volts", "full_load_amps")
BELT_ONLY = ("belt", "sheaves", "shaft_rpm")
UNITS = {
    "speed_rpm": "rpm", "hertz": "Hz", "ambient_c": "C", "temperature_rise_c": "K",
    "capacitor_uf": "uF", "bore_mm": "mm", "shaft_rpm": "rpm", "maker_regrease_h": "h",
}  # fmt: skip


@dataclass(frozen=True)
class Fact:
    """A term and what is known of it; ``is_gap`` says that it could not be read."""

    term: str
    text: str
    is_gap: bool = False


@dataclass(frozen=True)
class Pair:
    """One way to connect the motor: volts with their amperes, and whether it is in use."""

    volts: str
    amps: str
    use: str


@dataclass(frozen=True)
class Doubt:
    """What the plate does not allow of the feed as recorded: verdict, its word, the sentence."""

    verdict: str
    word: str
    text: str
    basis: str


@dataclass(frozen=True)
class PlateFacts:
    """The machine in place, its ratings and feed, and the machines before."""

    machine: Machine | None
    since: str
    warranty: str
    pairs: list[Pair]
    problem: str
    facts: list[Fact]
    missing: str
    feed: list[Fact]
    doubts: list[Doubt]
    earlier: list[str]


def plate_facts(file: FanFile) -> PlateFacts:
    """The first part of a fan's page."""
    machine = file.machine
    feed = file.feeds[0] if file.feeds else None
    pairs, problem = _pairs(file, machine, feed)
    return PlateFacts(
        machine=machine,
        since=_since(machine) if _named(machine) else upper_first(_since(machine)),
        warranty=_warranty(machine),
        pairs=pairs,
        problem=problem,
        facts=list(machine_facts(machine)),
        missing=_missing(machine),
        feed=list(feed_facts(feed)),
        doubts=list(_doubts(machine, feed)),
        earlier=[_earlier(each) for each in file.machines if each.removed_on is not None],
    )


def _since(machine: Machine | None) -> str:
    if machine is None:
        return _("no machine is in place")
    if machine.installed_on is None:
        return _("in place since before this record")
    return _("in place since {day}").format(day=day_text(machine.installed_on))


def _named(machine: Machine | None) -> bool:
    return machine is not None and bool(machine.model or machine.serial)


def _warranty(machine: Machine | None) -> str:
    if machine is None or machine.warranty_until is None:
        return ""
    return _("under warranty until {day}").format(day=day_text(machine.warranty_until))


def _pairs(file: FanFile, machine: Machine | None, feed: Feed | None) -> tuple[list[Pair], str]:
    """The plate's ratings as printed; a plate that does not add up is told as a problem."""
    if machine is None:
        return [], ""
    plate = plate_of(vars(machine))
    try:
        ratings = parse_ratings(plate.volts, plate.full_load_amps)
        told = feed_of(vars(feed)) if feed else feed_of(vars(Feed()))
        connected = connected_rating(plate, told, _measured_volts(file, machine))
    except PlateError as error:
        problem = _("The plate does not add up: {error}.").format(error="; ".join(error.told_by(_)))
        return [Pair(plate.volts, plate.full_load_amps, "")], problem
    pairs = [_pair(rating, ratings, connected) for rating in ratings]
    return pairs, _connection(connected, ratings)


def _measured_volts(file: FanFile, machine: Machine) -> list[float]:
    """Lines of the newest check that has them on this machine."""
    for check in reversed(file.standing_checks):
        lines = [check.volts_ab_v, check.volts_bc_v, check.volts_ca_v]
        volts = [value for value in lines if value is not None]
        if volts and check.machine_id == machine.pk:
            return volts
    return []


def _pair(rating: Rating, ratings: tuple[Rating, ...], connected: Connected | None) -> Pair:
    used = connected is not None and connected.rating == rating and len(ratings) > 1
    use = ""
    if used and connected is not None:
        use = _("yes, seen") if connected.confirmed else _("only suggested")
    volts, amps = (rating.low_v, rating.high_v, "V"), (rating.low_a, rating.high_a, "A")
    return Pair(_ends(*volts), _ends(*amps), use)


def _connection(connected: Connected | None, ratings: tuple[Rating, ...]) -> str:
    """What is owed where nobody has seen which rating is in use."""
    if len(ratings) < 2 or (connected is not None and connected.confirmed):
        return ""
    return _("Nobody has recorded seeing, at the connections, which rating is in use.")


def _ends(low: Part, high: Part, unit: str) -> str:
    """Both ends as a plate prints them, with as many decimals each: ``5.0-4.8 A``."""
    if low is None and high is None:
        return _("not on record")
    unread = _("cannot be read")
    numbers = [number_text(end) for end in (low, high) if isinstance(end, float)]
    places = max((len(text.partition(".")[2]) for text in numbers), default=0)
    ends = [f"{end:.{places}f}" if isinstance(end, float) else unread for end in (low, high)]
    text = "-".join(dict.fromkeys(ends))
    return f"{text} {unit}" if numbers else text


def machine_facts(machine: Machine | None) -> Iterator[Fact]:
    """Everything the plate told, in the order of a plate; what could not be read is said so."""
    if machine is None:
        return
    unreadable = unreadable_parts(machine.unreadable)
    for name, term in PLATE_WORDS.items():
        if name in unreadable:
            yield Fact(str(term), _("cannot be read"), is_gap=True)
        elif name not in SHOWN_APART:
            text = plate_text(machine, name)
            if text:
                yield Fact(str(term), text)


def plate_text(machine: Machine, name: str) -> str:
    """One part of a plate in words; empty where nothing is on record or it is not asked."""
    value = getattr(machine, name)
    if value is None or value == "" or (name in BELT_ONLY and not machine.is_belt_driven):
        return ""
    match name:
        case "motor_type":
            return words(MOTOR_TYPES, value)
        case "power_hp":
            return f"{_horsepower(value)} ({figure(round(value * KW_PER_HP, 2), 'kW')})"
        case "capacitor_uf" if machine.capacitor_tolerance_percent:
            return f"{figure(value, 'uF')} ±{figure(machine.capacitor_tolerance_percent, '%')}"
        case "weight_kg":
            return f"{figure(round(convert(value, 'kg', 'lb')), 'lb')} ({figure(value, 'kg')})"
        case "thermally_protected":
            return _("built in") if value else _("none")
        case _named:
            return figure(value, UNITS.get(_named, ""))


def _horsepower(power_hp: float) -> str:
    """As plates print it: ``1/3 hp`` for a third, ``1.48 hp`` otherwise."""
    part = Fraction(power_hp).limit_denominator(20)
    is_printed_so = part.numerator == 1 < part.denominator or part == Fraction(3, 4)
    if is_printed_so and abs(part - power_hp) < 1e-3:
        return figure(str(part), "hp")
    return figure(round(power_hp, 2), "hp")


WANTED = ("motor_type", "volts", "full_load_amps", "power_hp", "speed_rpm", "bearings")


def _missing(machine: Machine | None) -> str:
    """Parts that verdicts or dates lean on and nobody has recorded."""
    if machine is None:
        return ""
    unreadable = unreadable_parts(machine.unreadable)
    lacking = [
        str(PLATE_WORDS[name]).lower()
        for name in WANTED
        if not getattr(machine, name) and name not in unreadable
    ]
    return ", ".join(lacking)


def feed_facts(feed: Feed | None) -> Iterator[Fact]:
    """What feeds and controls a fan, as far as anybody recorded it."""
    if feed is None:
        return
    panel = ", ".join(part for part in (feed.panel, feed.circuit) if part)
    told: tuple[tuple[str, str], ...] = (
        (_("Panel, circuit"), panel),
        (_("Service"), figure(feed.service_volts, "V") if feed.service_volts else ""),
        (_("Breaker"), _breaker(feed)),
        (_("Starter"), feed.starter),
        (_("Overload"), _overload(feed)),
        (_("Speed control"), words(CONTROLS, feed.control)),
        (_("Drive input"), figure(feed.drive_input_volts, "V") if feed.drive_input_volts else ""),
        (_("Switch"), feed.switch),
        (_("So since"), day_text(feed.valid_from) if feed.valid_from else ""),
    )
    yield from (Fact(term, text) for term, text in told if text)


def _doubts(machine: Machine | None, feed: Feed | None) -> Iterator[Doubt]:
    if machine is None or feed is None:
        return
    for judged in judge_feed(plate_of(vars(machine)), feed_of(vars(feed))):
        yield Doubt(
            judged.verdict,
            words(VERDICTS, judged.verdict),
            judgement_sentence(judged),
            basis_words(judged.basis) if judged.basis else "",
        )


def _breaker(feed: Feed) -> str:
    size = figure(feed.breaker_a, "A") if feed.breaker_a else ""
    poles = ""
    if feed.poles:
        poles = ngettext("{poles} pole", "{poles} poles", feed.poles).format(poles=feed.poles)
    return ", ".join(part for part in (size, poles) if part)


def _overload(feed: Feed) -> str:
    if feed.overload_setting_a:
        return _("set at {amps}").format(amps=figure(feed.overload_setting_a, "A"))
    if feed.overload_present is None:
        return ""
    return _("present") if feed.overload_present else _("none")


def _earlier(machine: Machine) -> str:
    """An earlier machine as a line: when, what."""
    begin = day_text(machine.installed_on) if machine.installed_on else _("before this record")
    end = day_text(machine.removed_on) if machine.removed_on else ""
    power = _horsepower(machine.power_hp) if machine.power_hp else ""
    volts = f"{machine.volts} V" if machine.volts else ""
    what = ", ".join(part for part in (machine.model, machine.serial, power, volts) if part)
    return _("{begin} to {end}: {what}").format(
        begin=begin, end=end, what=what or _("nothing on record")
    )
