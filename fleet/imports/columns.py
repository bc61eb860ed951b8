"""The documented columns of a fleet file, in the order of the example: one row is one fan."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from fleet.imports.column import Column, Kind, Part

DRIVES = {
    "direct": "direct", "direct drive": "direct", "dd": "direct",
    "belt": "belt", "v belt": "belt", "belt drive": "belt", "belt driven": "belt", "bd": "belt",
}  # fmt: skip
MOTORS = {
    "three phase": "three_phase", "3 phase": "three_phase", "3ph": "three_phase",
    "3": "three_phase", "three": "three_phase", "3p": "three_phase", "polyphase": "three_phase",
    "psc": "psc", "permanent split capacitor": "psc", "split capacitor": "psc",
    "ec": "ec", "ecm": "ec", "electronic": "ec", "electronically commutated": "ec",
    "other": "other",
}  # fmt: skip
CONTROLS = {
    "none": "none", "no": "none", "across the line": "none",
    "triac": "triac", "dimmer": "triac", "speed knob": "triac", "solid state": "triac",
    "drive": "drive", "vfd": "drive", "vsd": "drive", "inverter": "drive",
    "frequency drive": "drive",
    "drive bypassed": "drive_bypassed", "bypassed": "drive_bypassed",
    "vfd bypassed": "drive_bypassed", "bypass": "drive_bypassed",
}  # fmt: skip
COOKING = {
    "solid fuel": "solid_fuel", "solid": "solid_fuel", "wood": "solid_fuel",
    "wood fired": "solid_fuel", "charcoal": "solid_fuel",
    "high": "high", "high volume": "high", "heavy": "high", "24 hour": "high",
    "moderate": "moderate", "medium": "moderate", "med": "moderate", "moderate volume": "moderate",
    "low": "low", "low volume": "low", "light": "low", "seasonal": "low",
}  # fmt: skip


def _same(*codes: str) -> dict[str, str]:
    return {code: code for code in codes}


def _in_part(part: Part) -> Any:
    """A short way to write the columns of one part; synonyms are given as one text with commas."""

    def column(
        heading: str, field: str, kind: Kind, meaning: str, example: str = "", also: str = "",
        choices: Mapping[str, str] | None = None, **rest: Any,
    ) -> Column:  # fmt: skip
        synonyms = tuple(word.strip() for word in also.split(",") if word.strip())
        return Column(
            heading=heading, part=part, field=field, kind=kind, meaning=meaning, example=example,
            synonyms=synonyms, choices=choices or {}, **rest,
        )  # fmt: skip

    return column


_owner, _agreement, _site = _in_part("owner"), _in_part("agreement"), _in_part("site")
_system, _fan, _machine, _feed = (
    _in_part("system"), _in_part("fan"), _in_part("machine"), _in_part("feed"),
)  # fmt: skip

OWNER_COLUMNS = (
    _owner("Owner", "name", "name", "who owns the kitchen", "Ashdown Kitchens",
           "customer, client, account, owner name, customer name, client name", required=True),
    _owner("Owner email", "email", "email", "where notices go", "office@ashdown.example",
           "email, customer email, contact email", longest=254),
    _owner("Owner phone", "phone", "text", "a number to call", "555-0117",
           "phone, telephone, phone number, customer phone, contact phone", longest=40),
    _owner("Owner language", "language", "choice", "in which the owner is written to", "es",
           "language, customer language", choices={
               "en": "en", "english": "en", "es": "es", "spanish": "es", "español": "es"}),
    _agreement("Agreement start", "starts_on", "date", "the day the agreement began", "2025-01-01",
               "contract start, agreement from, agreement date"),
    _agreement("Agreement end", "ends_on", "date", "its last day", "2026-12-31",
               "contract end, agreement until"),
    _agreement("Visits per year", "visits_per_year", "visits",
               "visits bought a year for each site, one figure for all of the owner's; or `as due`",
               "6", "visits a year, visits yr, annual visits, visits bought", low=1, high=366),
    _agreement("Reliability wanted", "reliability", "choice", "how careful to be", "medium",
               "reliability, reliability required", choices=_same("low", "medium", "high")),
    _agreement("Stretching allowed", "stretching_allowed", "yes_no",
               "whether a good record may lengthen the interval", "no", "stretching, may stretch"),
    _agreement("Spending limit", "spending_limit", "number",
               "repairs up to this need no asking, in the install's currency", "400",
               "limit without asking", low=0, high=1e8),
)  # fmt: skip

SITE_COLUMNS = (
    _site("Site", "name", "name", "the building", "Ashdown Mill Lane",
          "location, store, site name, location name, restaurant, kitchen, building, property",
          required=True),
    _site("Address", "address", "text", "street and town", "12 Mill Lane, Harrow Bend",
          "street address, street, site address, location address", longest=250),
    _site("Country", "country", "country", "two letters; US where nothing is said", "US"),
    _site("Latitude", "latitude", "coordinate", "degrees, north positive", "41.62", "lat",
          low=-90, high=90),
    _site("Longitude", "longitude", "coordinate", "degrees, east positive", "-88.20",
          "lon, long, lng", low=-180, high=180),
    _site("Time zone", "time_zone", "zone", "as `America/Chicago`, or `Central`",
          "America/Chicago", "timezone, tz, zone"),
    _site("Surroundings", "surroundings", "choice", "what the air does to metal", "inland",
          "environment, exposure", choices={
              **_same("inland", "coastal", "corrosive"), "normal": "inland", "coast": "coastal",
              "sea": "coastal", "marine": "coastal", "chemical": "corrosive"}),
    _site("Roof access hours", "roof_access_hours", "hours", "when the roof may be entered",
          "Mon-Fri 7:00-15:00", "roof hours, access hours"),
    _site("Fan stop hours", "fan_stop_hours", "hours", "when a fan may be stopped",
          "Mon-Sun 6:00-9:30", "stop hours, shutdown hours"),
    _site("Access minutes", "access_minutes", "whole", "minutes from parking to the roof", "15",
          "minutes to roof", low=0, high=480),
    _site("Access notes", "access_notes", "note", "hatch, ladder, keys", "hatch by the pantry",
          "roof access, access, roof hatch, ladder", longest=2000),
    _site("Lift notes", "lift_notes", "note", "lift or crane", "", "lift, crane, lift or crane",
          longest=2000),
)  # fmt: skip

SYSTEM_COLUMNS = (
    _system("System", "name", "name", "hoods and duct served together; blank: one per fan",
            "Main line", "exhaust system, hood, hoods, hood system, hood line, duct system",
            longest=80),
    _system("Cooking classes", "classes", "classes",
            "`solid fuel`, `high`, `moderate`, `low`; several with `;`", "high; moderate",
            "cooking, cooking class, cooking volume, cooking type", choices=COOKING),
    _system("Cooking since", "cooking_from", "date", "the day from which these classes hold",
            "2025-01-01", "cooking from, cooking valid from"),
    _system("Hours", "hours", "hours", "`Mon-Sat 10:00-23:00; Sun 11-21`, `always`, `18:00-02:00`",
            "Mon-Sat 10:00-23:00; Sun 11-21",
            "opening hours, operating hours, kitchen hours, cooking hours, running times"),
    _system("Hours since", "hours_from", "date", "the day from which these hours hold",
            "2025-01-01", "hours from, hours valid from"),
    _system("Closed days", "closed_days", "days", "dates with no cooking, with `;`",
            "2026-12-25", "closed on, closed dates, holidays"),
    _system("Expected cleanings", "expected_cleanings", "days", "announced hood cleanings, `;`",
            "2026-06-14", "next hood cleaning, hood cleaning dates, next cleaning, next cleanings,"
            "expected cleaning, hood cleaning due"),
    _system("Cleaning crew", "cleaning_crew", "text", "who cleans the hoods", "",
            "hood cleaning crew, hood cleaner, cleaned by"),
    _system("Make-up air interlock", "make_up_air_interlock", "yes_no",
            "whether make-up air follows the fan", "yes",
            "mua interlock, makeup air interlock, make up air"),
    _system("Fire system interlock", "fire_system_interlock", "yes_no",
            "whether the fire system starts the fan", "yes", "fire interlock, fire system"),
)  # fmt: skip

FAN_COLUMNS = (
    _fan("Tag", "tag", "name", "the fan's name on this site", "EF-1",
         "fan, fan tag, unit, unit number, unit no, unit id, fan id, fan no, fan number,"
         "equipment tag, equipment id, asset, asset tag", required=True, longest=40),
    _fan("Place", "place", "text", "where on the roof", "north of the hatch",
         "roof position, roof location, location on roof, fan location, position"),
    _fan("East of hatch (m)", "east_m", "number", "on the roof, m or ft; west is negative", "4.5",
         "east of hatch, metres east=m", unit="m", units=("m", "ft"), must_say_unit=True,
         low=-500, high=500),
    _fan("North of hatch (m)", "north_m", "number", "on the roof, m or ft; south is negative", "-2",
         "north of hatch, metres north=m", unit="m", units=("m", "ft"), must_say_unit=True,
         low=-500, high=500),
    _fan("Entered on", "entered_on", "date", "the day the fan came under care; blank: today",
         "2025-01-06", "entered, added on, date added, under care since"),
    _fan("Hour meter digits", "hour_meter_digits", "whole", "digits before it rolls over", "6",
         "meter digits", low=3, high=9),
    _fan("Curb size", "curb_size", "text", "the curb outside, both ways", "26 in square",
         "curb, curb dimensions, curb outside", longest=60),
    _fan("Rotation", "rotation", "choice", "of the wheel, seen from the motor's side: `clockwise` "
         "or `counterclockwise`", "clockwise", "wheel rotation, fan rotation", choices={
             **_same("clockwise", "counterclockwise"), "cw": "clockwise",
             "ccw": "counterclockwise", "counter clockwise": "counterclockwise",
             "anticlockwise": "counterclockwise", "anti clockwise": "counterclockwise"}),
    _fan("Fan notes", "notes", "note", "anything worth knowing", "",
         "notes, comments, remarks, fan comments", longest=2000),
)  # fmt: skip

MACHINE_COLUMNS = (
    _machine("Installed on", "installed_on", "date", "the day this machine was installed",
             "2021-05-18", "installed, install date, installation date, date installed"),
    _machine("Warranty until", "warranty_until", "date", "its last day", "",
             "warranty, warranty end"),
    _machine("Supplied by", "supplied_by", "text", "who supplied it", "", "supplier", longest=40),
    _machine("Model", "model", "text", "the fan's model", "",
             "fan model, model number, model no, make model, make and model", longest=80),
    _machine("Serial", "serial", "text", "its serial number", "", "serial number, serial no, sn",
             longest=80),
    _machine("Drive", "drive", "choice", "`direct` or `belt`", "belt", "drive type",
             choices=DRIVES),
    _machine("Motor type", "motor_type", "choice", "`three phase`, `PSC`, `EC`, `other`",
             "three phase", "motor", choices=MOTORS),
    _machine("Phases", "phases", "phases", "`1` or `3`", "3", "phase, ph, no of phases"),
    _machine("Volts", "volts", "rating", "as on the plate", "208-230/460",
             "voltage, motor volts, motor voltage, plate volts, rated volts, v", unit="V",
             units=("V",), longest=30),
    _machine("Full-load amps", "full_load_amps", "rating", "as on the plate, paired with the volts",
             "3.3-3.2/1.6", "fla, amps, full load amperes, full load current, motor amps,"
             "plate amps, rated amps, flc", unit="A", units=("A",), longest=30),
    _machine("Power (hp)", "power_hp", "number", "hp or kW; say which", "1",
             "power, motor power, motor size, hp=hp, horsepower=hp, motor hp=hp, kw=kW,"
             "motor kw=kW",
             unit="hp", units=("hp", "kW", "W"), must_say_unit=True, low=0.01, high=200),
    _machine("Speed (rpm)", "speed_rpm", "number", "full-load speed of the motor", "1725",
             "speed, rpm=rpm, motor rpm=rpm, motor speed", unit="rpm", units=("rpm",),
             low=100, high=10_000),
    _machine("Hertz", "hertz", "number", "rated frequency", "60", "hz=Hz, frequency, cycles",
             unit="Hz", units=("Hz",), low=10, high=400),
    _machine("Service factor", "service_factor", "number", "1 or more", "1.15", "sf",
             low=1, high=2),
    _machine("Insulation class", "insulation_class", "choice", "`A`, `B`, `F` or `H`", "B",
             "insulation, ins class, ins", choices={"a": "A", "b": "B", "f": "F", "h": "H"}),
    _machine("Ambient (C)", "ambient_c", "number", "rated ambient; C or F", "40",
             "ambient, ambient temperature, amb, max ambient", unit="C", units=("C", "F"),
             must_say_unit=True, low=-10, high=90),
    _machine("Temperature rise (K)", "temperature_rise_c", "number", "rated rise", "",
             "temperature rise, temp rise, rise", unit="K", units=("K", "F_difference"),
             low=1, high=180),
    _machine("Frame", "frame", "text", "motor frame", "56", "motor frame, frame size", longest=12),
    _machine("Thermally protected", "thermally_protected", "yes_no", "a protector in the motor",
             "no", "thermal protection, thermal protector"),
    _machine("Bearings", "bearings", "choice", "`sealed` or `greased`", "greased",
             "bearing, lubrication", choices={
                 **_same("sealed", "greased"), "greasable": "greased", "permanent": "sealed",
                 "permanently lubricated": "sealed", "regreasable": "greased"}),
    _machine("Bearing type", "bearing_type", "choice", "`ball`, `cylindrical` or `spherical`",
             "ball", choices={**_same("ball", "cylindrical", "spherical"),
                              "cylindrical roller": "cylindrical",
                              "spherical roller": "spherical"}),
    _machine("Bore (mm)", "bore_mm", "number", "bearing bore; mm or in", "25",
             "bore, bearing bore, shaft size, shaft diameter", unit="mm", units=("mm", "in"),
             must_say_unit=True, low=3, high=200),
    _machine("Shaft speed (rpm)", "shaft_rpm", "number", "the fan shaft's own speed", "980",
             "shaft speed, fan rpm=rpm, fan speed, wheel rpm=rpm", unit="rpm", units=("rpm",),
             low=50, high=10_000),
    _machine("Capacitor (uF)", "capacitor_uf", "number", "rated capacitance", "10",
             "capacitor, cap, mfd=uF, capacitance", unit="uF", units=("uF", "nF"),
             low=0.5, high=500),
    _machine("Capacitor tolerance (%)", "capacitor_tolerance_percent", "number", "plus or minus",
             "6", "capacitor tolerance, cap tolerance", unit="%", units=("%",), low=0.5, high=50),
    _machine("Wheel", "wheel", "text", "its size or kind", "18 in backward inclined",
             "fan wheel, impeller", longest=80),
    _machine("Belt", "belt", "text", "its number", "A45", "belts, belt size, belt number",
             longest=40),
    _machine("Sheaves", "sheaves", "text", "motor and fan sheave", "3.4 in / 6.0 in",
             "pulleys, sheave, pulley", longest=80),
    _machine("Mounting", "mounting", "choice", "`rigid` or `flexible`", "rigid", "support",
             choices={**_same("rigid", "flexible"), "isolated": "flexible", "springs": "flexible"}),
    _machine("Shaft", "shaft", "choice", "`vertical` or `horizontal`", "vertical", "shaft position",
             choices={**_same("vertical", "horizontal"), "upblast": "vertical"}),
    _machine("Maker regrease (h)", "maker_regrease_h", "number", "the maker's regreasing interval",
             "4000", "maker regrease hours=h, regrease interval, regrease hours=h, grease interval",
             unit="h", units=("h", "d"), low=10, high=100_000),
    _machine("Weight (kg)", "weight_kg", "number", "kg or lb", "",
             "weight, fan weight, lbs=lb, weight lbs=lb", unit="kg", units=("kg", "lb"),
             must_say_unit=True, low=1, high=5_000),
)  # fmt: skip

FEED_COLUMNS = (
    _feed("Panel", "panel", "text", "the panel that feeds it", "RP-2", "panel name, panelboard",
          longest=40),
    _feed("Circuit", "circuit", "text", "its circuit there", "14-16-18",
          "circuit number, circuit no, ckt", longest=20),
    _feed("Poles", "poles", "whole", "poles of the breaker", "3", "breaker poles", low=1, high=3),
    _feed("Breaker (A)", "breaker_a", "number", "its rating", "15",
          "breaker, breaker size, breaker amps=A, ocpd", unit="A", units=("A",), low=1, high=400),
    _feed("Service volts", "service_volts", "number", "nominal volts of the building", "208",
          "building volts, supply volts, service voltage, supply voltage", unit="V",
          units=("V", "kV"), low=12, high=1_000),
    _feed("Connected volts", "connected_volts", "rating", "the plate's rating in use", "208-230",
          "connected voltage, wired for, connected for", unit="V", units=("V",), longest=20),
    _feed("Connection confirmed", "connected_confirmed", "yes_no",
          "whether somebody saw it at the connections", "yes", "confirmed, connection seen"),
    _feed("Starter", "starter", "text", "starter and overload", "", "motor starter, contactor",
          longest=80),
    _feed("Overload setting (A)", "overload_setting_a", "number", "its setting, or `none`", "3.4",
          "overload setting, overload, overload amps=A, ol setting", unit="A", units=("A",),
          low=0.05, high=400),
    _feed("Overload present", "overload_present", "yes_no", "whether there is one", "yes",
          "has overload, overload fitted"),
    _feed("Control", "control", "choice", "`none`, `triac`, `drive`, `drive bypassed`", "none",
          "speed control, controls", choices=CONTROLS),
    _feed("Drive input volts", "drive_input_volts", "number", "input rating of the drive", "",
          "vfd input volts, drive volts", unit="V", units=("V",), low=12, high=1_000),
    _feed("Switch", "switch", "text", "disconnecting switch at the fan", "3-pole toggle",
          "disconnect, disconnect switch, disconnecting switch", longest=80),
)  # fmt: skip

COLUMNS: Final[tuple[Column, ...]] = (
    *OWNER_COLUMNS, *SITE_COLUMNS, *SYSTEM_COLUMNS, *FAN_COLUMNS, *MACHINE_COLUMNS, *FEED_COLUMNS,
)  # fmt: skip
BY_KEY: Final[dict[tuple[str, str], Column]] = {column.key: column for column in COLUMNS}


def column_table() -> str:
    """The columns as plain text: heading, meaning, example, other names."""
    lines = []
    for column in COLUMNS:
        also = ", ".join(synonym.partition("=")[0] for synonym in column.synonyms[:4])
        example = f"; as in {column.example}" if column.example else ""
        needed = " (needed)" if column.required else ""
        lines.append(f"  {column.heading}{needed}: {column.meaning}{example}")
        if also:
            lines.append(f"      also: {also}")
    return "\n".join(lines)
