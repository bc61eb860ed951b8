"""Nameplates and feeds of the demo's fans, in the columns of a fleet file; makers are invented."""

from __future__ import annotations

Columns = dict[str, str]

_THREE_PHASE: Columns = {
    "Drive": "direct", "Motor type": "three phase", "Speed (rpm)": "1725", "Hertz": "60",
    "Service factor": "1.15", "Insulation class": "B", "Ambient (C)": "40", "Frame": "56",
    "Bearings": "sealed", "Wheel": "18 in backward inclined", "Mounting": "rigid",
    "Shaft": "vertical",
}  # fmt: skip


def _model(base: Columns, model: str, volts: str, amps: str, power: str, **more: str) -> Columns:
    told = {"Model": model, "Volts": volts, "Full-load amps": amps, "Power (hp)": power}
    return {**base, **told, **{_HEADINGS[name]: value for name, value in more.items()}}


_HEADINGS = {
    "frame": "Frame", "rpm": "Speed (rpm)", "wheel": "Wheel", "factor": "Service factor",
    "capacitor": "Capacitor (uF)", "tolerance": "Capacitor tolerance (%)", "belt": "Belt",
    "sheaves": "Sheaves", "shaft_rpm": "Shaft speed (rpm)", "bore": "Bore (mm)",
    "regrease": "Maker regrease (h)", "protected": "Thermally protected",
}  # fmt: skip

ONE_HP = _model(_THREE_PHASE, "Orrel 18 D", "208-230/460", "3.3-3.2/1.6", "1 hp")
ONE_HP_230 = _model(_THREE_PHASE, "Orrel 18 D", "230/460", "3.2/1.6", "1 hp")
HALF_AGAIN = _model(
    _THREE_PHASE, "Orrel 20 D", "208-230/460", "5.0-4.8/2.4", "1.5 hp",
    wheel="20 in backward inclined",
)  # fmt: skip
TWO_HP = _model(
    _THREE_PHASE, "Orrel 24 D", "208-230/460", "6.8-6.6/3.3", "2 hp", frame="145T", rpm="1740",
    wheel="24 in backward inclined",
)  # fmt: skip

_BELT: Columns = {
    **_THREE_PHASE, "Drive": "belt", "Bearings": "greased", "Bearing type": "ball",
}  # fmt: skip
BELT_ONE_HP = _model(
    _BELT, "Vantry 24 B", "208-230/460", "3.3-3.2/1.6", "1 hp", bore="25", shaft_rpm="980",
    belt="A45", sheaves="3.4 in / 6.0 in", regrease="4000", wheel="24 in backward inclined",
)  # fmt: skip
BELT_TWO_HP = _model(
    _BELT, "Vantry 30 B", "208-230/460", "6.8-6.6/3.3", "2 hp", bore="1 in", shaft_rpm="860",
    belt="B52", sheaves="3.8 in / 7.6 in", regrease="4000", frame="145T", rpm="1740",
    wheel="30 in backward inclined",
)  # fmt: skip

_SMALL: Columns = {
    "Drive": "direct", "Hertz": "60", "Bearings": "sealed", "Mounting": "rigid",
    "Shaft": "vertical",
}  # fmt: skip
PSC = _model(
    {**_SMALL, "Motor type": "PSC", "Service factor": "1"}, "Tarn 12 S", "115", "5.4", "1/3 hp",
    rpm="1050", capacitor="10", tolerance="6", protected="yes", wheel="12 in centrifugal",
)  # fmt: skip
EC = _model(
    {**_SMALL, "Motor type": "EC"}, "Tarn 16 E", "200-240", "4.1", "1.1 kW", rpm="1600",
    wheel="16 in backward curved",
)  # fmt: skip
UNREADABLE: Columns = {
    "Drive": "direct", "Motor type": "three phase", "Volts": "?", "Full-load amps": "?",
    "Power (hp)": "unreadable", "Speed (rpm)": "?", "Serial": "?", "Bearings": "sealed",
    "Mounting": "rigid", "Shaft": "vertical",
}  # fmt: skip

_FEED: Columns = {
    "Panel": "RP-1", "Poles": "3", "Breaker (A)": "15", "Service volts": "208",
    "Overload setting (A)": "3.6", "Overload present": "yes", "Control": "none",
    "Switch": "3-pole, weather cover",
}  # fmt: skip


def feed(connected: str, **changes: str) -> Columns:
    """A 208 V feed with the rating in use seen at the connections; ``changes`` by short name."""
    told = {"Connected volts": connected, "Connection confirmed": "yes"}
    return {**_FEED, **told, **{_FEED_HEADINGS[name]: value for name, value in changes.items()}}


_FEED_HEADINGS = {
    "panel": "Panel", "circuit": "Circuit", "poles": "Poles", "breaker": "Breaker (A)",
    "service": "Service volts", "overload": "Overload setting (A)", "present": "Overload present",
    "control": "Control", "drive_volts": "Drive input volts", "switch": "Switch",
    "confirmed": "Connection confirmed",
}  # fmt: skip

ON_208 = feed("208-230")
ON_208_LARGE = feed("208-230", breaker="20", overload="5.6")
ON_208_TWO_HP = feed("208-230", breaker="20", overload="7.6")
ON_480 = feed("460", service="480", overload="1.8")
ON_120 = feed("115", service="120", poles="1", overload="", present="", switch="1-pole toggle")
ON_208_EC = feed("200-240", poles="2", overload="", present="", switch="2-pole, weather cover")
