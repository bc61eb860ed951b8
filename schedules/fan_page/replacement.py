"""All that a supplier of another machine asks for, from plate, feed and record; never invented.

What is missing or could not be read is listed with who can find it out on the roof.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import isnan
from statistics import fmean

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.models import Fan, Feed, Machine
from fleet.plates import Connected, connected_rating, unreadable_parts
from fleet.quantities import ELECTRONIC, SPLIT_CAPACITOR, THREE_PHASE
from fleet.ratings import PlateError, Rating
from schedules.fan_page.gathering import FanFile
from schedules.fan_page.plate import CONTROLS, PLATE_WORDS, plate_text
from schedules.wording import day_text
from visits.judging import feed_of, plate_of
from visits.limits import DEFAULT_LIMITS, table_full_load_a
from visits.models import Check
from visits.wording import STATES, figure, words

ON_RECORD, TABLE, UNREADABLE, MISSING = STANDINGS = (
    "on_record", "table", "unreadable", "missing",
)  # fmt: skip
ASKED = (
    "motor_type", "phases", "power_hp", "speed_rpm", "hertz", "service_factor", "frame",
    "thermally_protected", "drive", "wheel", "shaft", "mounting", "weight_kg",
)  # fmt: skip
ASKED_OF_BELTS = ("shaft_rpm", "belt", "sheaves")
PHASES = {THREE_PHASE: 3, SPLIT_CAPACITOR: 1}
NEAR = 0.1
"""So near a measured voltage must lie to one of the tables'; our choice."""
LINES = ("volts_ab_v", "volts_bc_v", "volts_ca_v")


@dataclass(frozen=True)
class Line:
    """One thing a supplier asks; of a gap ``text`` is empty and ``find`` says how to find it."""

    code: str
    term: str
    text: str
    standing: str = ON_RECORD
    note: str = ""
    find: str = ""

    @property
    def is_gap(self) -> bool:
        return self.standing in (UNREADABLE, MISSING)


@dataclass(frozen=True)
class ReplacementSheet:
    """Lines in the order a supplier reads them; ``find_out`` are those that are gaps."""

    fan: Fan
    lines: Sequence[Line]

    @property
    def known(self) -> list[Line]:
        return [line for line in self.lines if not line.is_gap]

    @property
    def find_out(self) -> list[Line]:
        return [line for line in self.lines if line.is_gap]


def replacement_sheet(file: FanFile) -> ReplacementSheet:
    """The sheet of the machine in place, or of the position alone where none is."""
    machine = file.machine or Machine(fan=file.fan)
    feed = next((each for each in file.feeds), None) or Feed(fan=file.fan)
    lines = [
        *_electrical(file, machine, feed),
        *_plate(machine),
        *_position(file),
        *_site(file.fan),
    ]
    return ReplacementSheet(file.fan, lines)


def _electrical(file: FanFile, machine: Machine, feed: Feed) -> Iterator[Line]:
    check = _volts_check(file)
    volts = _volts_of(check) if check else []
    term = _("Volts as found at the disconnecting switch")
    if check:
        told = _("{volts} on {day}").format(
            volts=", ".join(figure(round(each, 1), "V") for each in volts),
            day=day_text(file.visits[check.visit_id].local_on),
        )
        yield Line("volts_found", term, told)
    else:
        yield _missing(
            "volts_found", term,
            _("measure every line there; only somebody qualified for energised work"),
        )  # fmt: skip
    if feed.service_volts:
        term = _("Service, as registered")
        yield Line("service_volts", term, figure(feed.service_volts, "V"))
    yield _of_plate(machine, "volts", machine.volts)
    yield _of_plate(machine, "full_load_amps", machine.full_load_amps)
    yield _amps_at(machine, feed, volts)
    yield _control(file, feed)
    fed = [
        *([_("panel {panel}").format(panel=feed.panel)] if feed.panel else []),
        *([_poles(feed.poles)] if feed.poles else []),
        *([figure(feed.breaker_a, "A")] if feed.breaker_a else []),
    ]
    if fed:
        yield Line("breaker", _("Breaker"), ", ".join(fed))


def _poles(poles: int) -> str:
    return ngettext("{poles} pole", "{poles} poles", poles).format(poles=poles)


def _volts_check(file: FanFile) -> Check | None:
    return next((each for each in reversed(file.standing_checks) if _volts_of(each)), None)


def _volts_of(check: Check) -> list[float]:
    return [value for name in LINES if (value := getattr(check, name)) is not None]


def _amps_at(machine: Machine, feed: Feed, volts: Sequence[float]) -> Line:
    """Full-load amperes at those volts: the plate's, else a table's, marked as such."""
    code, term = "full_load_at_volts", _("Full-load amperes at those volts")
    plate = plate_of(vars(machine))
    try:
        connected = connected_rating(plate, feed_of(vars(feed)), volts)
    except PlateError:
        connected = None
    amps = _nearest_amps(connected.rating, volts) if connected else None
    if connected and amps is not None:
        return Line(code, term, figure(amps, "A"), note=_doubt(connected, feed, volts))
    nominal = _nominal(connected, feed, volts)
    phases = _phases(machine)
    if machine.power_hp and phases and nominal and _is_in_tables(machine):
        found = float(table_full_load_a(machine.power_hp, nominal, phases))
        if not isnan(found):
            note = _(
                "a table value (NFPA 70, 430.248 and 430.250) for {volts}, for wires and breakers: "
                "not this motor's"
            ).format(volts=figure(nominal, "V"))
            return Line(code, term, figure(found, "A"), TABLE, note)
    return _missing(code, term, _("read volts and amperes off the plate, whoever goes up next"))


def _is_in_tables(machine: Machine) -> bool:
    """Whether the tables, made for 60 Hz and motors without electronics, may hold it."""
    return machine.motor_type != ELECTRONIC and machine.hertz in (None, 60)


def _doubt(connected: Connected, feed: Feed, volts: Sequence[float]) -> str:
    """What keeps the plate's amperes from being sure; a rating that is not fed goes first."""
    there = [] if feed.control == "drive" else [*volts] or [feed.service_volts or 0.0]
    if rated := _rating_not_fed(connected.rating, [each for each in there if each]):
        return _(
            "the plate's at {rated}, which is not what feeds it: connection, plate or record is "
            "wrong; find out before anything is ordered"
        ).format(rated=rated)
    if not connected.confirmed:
        return _("the rating in use is only suggested, not seen")
    return "" if volts else _("no line was measured: the plate's, at its lower volts")


def _rating_not_fed(rating: Rating, volts: Sequence[float]) -> str:
    """The rated volts where a line lies beyond what a motor takes (rules.md, B); else empty."""
    if rating.ends is None:
        return ""
    low, high = (
        end * share for end, share in zip(rating.ends, DEFAULT_LIMITS.volts_ratio, strict=True)
    )
    if all(low <= each <= high for each in volts):
        return ""
    return "–".join(dict.fromkeys(figure(end, "V") for end in rating.ends))


def _phases(machine: Machine) -> int | None:
    """As the plate says, else as the kind of motor tells."""
    return machine.phases or PHASES.get(machine.motor_type)


def _nearest_amps(rating: Rating, volts: Sequence[float]) -> float | None:
    """Of the end nearer the mean of the lines; a tie or no volts: the lower end (rules.md, B)."""
    if not rating.pairs:
        return None
    mean = fmean(volts) if volts else 0.0
    return min(rating.pairs, key=lambda pair: (abs(pair[0] - mean), pair[0]))[1]


def _nominal(connected: Connected | None, feed: Feed, volts: Sequence[float]) -> float | None:
    if feed.service_volts:
        return feed.service_volts
    if connected and isinstance(connected.rating.low_v, float):
        return connected.rating.low_v
    nominal = (115.0, 200.0, 208.0, 230.0, 460.0, 575.0)
    near = [each for each in nominal if volts and abs(fmean(volts) / each - 1) <= NEAR]
    return min(near, key=lambda each: abs(each - fmean(volts)), default=None)


def _control(file: FanFile, feed: Feed) -> Line:
    if not file.feeds:
        return _missing(
            "control", _("Speed control"), _("look at starter and controls; an electrician")
        )
    return Line("control", _("Speed control"), words(CONTROLS, feed.control))


def _plate(machine: Machine) -> Iterator[Line]:
    yield _of_plate(machine, "model", machine.model)
    yield _of_plate(machine, "serial", machine.serial)
    belt = ASKED_OF_BELTS if machine.is_belt_driven else ()
    for name in (*ASKED, *belt):
        told = str(_phases(machine) or "") if name == "phases" else plate_text(machine, name)
        yield _of_plate(machine, name, told)


def _of_plate(machine: Machine, name: str, text: str) -> Line:
    term = str(PLATE_WORDS[name])
    if name in unreadable_parts(machine.unreadable):
        return Line(
            name, term, "", UNREADABLE,
            find=_("could not be read; ask the maker by model and serial number, or measure"),
        )  # fmt: skip
    if text and "?" in text:
        return Line(name, term, text, note=_("? could not be read"))
    return Line(name, term, text) if text else _missing(name, term, _find_of_plate(name))


def _find_of_plate(name: str) -> str:
    if name == "weight_kg":
        return _("ask the maker by model and serial number; it decides lift and hands")
    if name in ("wheel", "mounting", "shaft", "drive"):
        return _("look and measure, fan locked out; whoever goes up next")
    return _("read it off the plate; whoever goes up next")


def _position(file: FanFile) -> Iterator[Line]:
    fan = file.fan
    rotation = fan.get_rotation_display()
    if rotation:
        yield Line(
            "rotation", _("Rotation"), rotation, note=_("seen from the motor's side")
        )  # fmt: skip
    else:
        yield _missing(
            "rotation", _("Rotation"),
            _("read the arrow on the housing, not the wheel: it may run backwards"),
        )  # fmt: skip
    yield _missing(
        "air", _("Air moved, and against what pressure"),
        _("ask the maker by model and serial number, or whoever balanced the hood"),
    )  # fmt: skip
    if fan.curb_size:
        yield Line("curb_size", _("Curb size"), fan.curb_size)
    else:
        yield _missing(
            "curb_size", _("Curb size"), _("measure the curb outside, both ways; whoever goes up")
        )
    yield _hinge(file)


def _hinge(file: FanFile) -> Line:
    machine = file.machine.pk if file.machine else None
    looks = (each for each in reversed(file.standing_checks) if each.hinge)
    seen = next((each for each in looks if each.machine_id == machine), None)
    if seen is None:
        return _missing("hinge", _("Hinge"), _("look whether the fan is hinged; whoever goes up"))
    told = _("{state}, seen {day}").format(
        state=words(STATES, seen.hinge), day=day_text(file.visits[seen.visit_id].local_on)
    )
    return Line("hinge", _("Hinge"), told)


def _site(fan: Fan) -> Iterator[Line]:
    site = fan.site
    yield Line("place", _("Where"), ", ".join(filter(None, [site.name, site.address, fan.place])))
    if site.lift_notes:
        yield Line("lift", _("Lift or crane"), site.lift_notes)
    else:
        yield _missing("lift", _("Lift or crane"), _("say how it gets up; whoever goes up next"))
    if site.access_notes:
        yield Line("roof", _("Roof"), site.access_notes)
    else:
        yield _missing("roof", _("Roof"), _("say hatch, ladder and way; whoever goes up next"))


def _missing(code: str, term: str, find: str) -> Line:
    return Line(code, term, "", MISSING, find=find)
