"""Words for codes: verdicts, items, subjects, states, kinds of visit, event, work and answer."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import get_language, pgettext_lazy
from django.utils.translation import gettext_lazy as _

Words = Mapping[str, str | Promise]

VERDICTS: Words = {
    "within": _("within"), "watch": _("watch"), "act": _("act"), "stop": _("stop"),
    "cannot_judge": _("cannot judge"),
}  # fmt: skip
STAGES: Words = {"as_found": _("as found"), "as_left": _("as left")}
VISIT_KINDS: Words = {
    "walk_through": _("walk-through"), "maintenance": _("preventive maintenance"),
    "service_call": _("service call"), "replacement": _("replacement"),
    "code_inspection": _("code inspection"), "start_up": _("start-up check"),
}  # fmt: skip
EVENT_KINDS: Words = {
    "hood_cleaning": _("hood cleaning"), "storm": _("storm"), "power_event": _("power event"),
    "kitchen_change": _("kitchen changed"), "breaker_reset": _("breaker reset"),
}  # fmt: skip
WORK: Words = {
    "adjusted": _("adjusted"), "cleaned": _("cleaned"), "repaired": _("repaired"),
    "replaced": _("replaced"), "temporary": _("repaired for the time being"),
    "balanced": _("balanced"), "speed_changed": _("speed changed"),
    "remounted": _("remounted"), "regreased": _("regreased"),
}  # fmt: skip
ANSWERS: Words = {
    "go_ahead": _("go ahead"), "not_now": _("not now"), "declined": _("declined"),
    "question": _("a question"), "by_link": _("asked for a link to answer by"),
}  # fmt: skip
RUNNING: Words = {
    "running": _("running"), "not_running": _("not running"), "cannot_tell": _("cannot tell"),
}  # fmt: skip
REASONS: Words = {
    "no_access": _("no access"), "weather": _("weather"), "unsafe": _("not safe"),
    "no_time": _("no time left"), "parts": _("parts not there"),
    "not_stopped": _("the fan could not be stopped"), "other": _("another reason"),
}  # fmt: skip
SEVERITIES: Words = {
    "incipient": _("incipient"), "degraded": _("degraded"), "critical": _("critical"),
}  # fmt: skip
STANDINGS: Words = {
    "confirmed": _("confirmed"), "one source": _("one source"),
    "from memory": _("from memory"), "common practice": _("common practice"),
    "our choice": _("our choice"), "set here": _("set here"),
}  # fmt: skip
PLACES: Words = {
    "hood": _("hood"), "duct": _("duct"), "housing": _("fan housing"),
    "motor_radial": _("motor, radial"), "motor_axial": _("motor, axial"),
    "bearing_radial": _("bearing, radial"), "bearing_axial": _("bearing, axial"),
    "curb": _("curb"),
}  # fmt: skip

ITEMS: Words = {
    "supply": _("supply"), "motor": _("motor"), "overload": _("overload"),
    "breaker": _("breaker"), "switch": _("disconnecting switch"), "capacitor": _("capacitor"),
    "wheel": _("wheel"), "duct": _("duct"), "housing": _("housing"), "feed": _("feed"),
    "belt": _("belt"), "sheaves": _("sheaves"), "drive": _("drive"),
    "bearings": _("bearings"), "hinge": _("hinge"), "catch": _("hold-open catch"),
    "cable": _("flexible cable"), "grease_box": _("grease box"), "guard": _("guard"),
    "curb": _("curb"), "hood_switch": _("hood switch"), "heat_sensor": _("heat sensor"),
    "make_up_air": _("make-up air"), "fire_system": _("fire system"),
    "machine": _("machine"), "hour_meter": _("hour meter"), "conduit": _("conduit"),
    "shaft": _("shaft"),
}  # fmt: skip

SUBJECTS: Words = {
    **ITEMS,
    "volts": _("volts"), "volts_unbalance": _("volts unbalance"),
    "lost_phase": _("phases"), "amps": _("current"), "amps_unbalance": _("current unbalance"),
    "overload": _("overload setting"), "winding_unbalance": _("windings"),
    "insulation": _("insulation"), "poles": _("switch poles"),
    "vibration": _("vibration"), "vibration_felt": _("vibration by hand"),
    "grease": _("grease"), "grease_hood": _("grease in the hood"),
    "grease_duct": _("grease in the duct"), "grease_housing": _("grease in the fan housing"),
    "temperature_difference": _("temperature difference"),
    "belt_deflection": _("belt deflection"), "sheave_wear": _("sheave grooves"),
    "running": _("running"), "noise": _("noise"), "motor_vents": _("motor vents"),
    "corrosion": _("corrosion of motor and housing"), "switch_cover": _("switch cover, conduit"),
    "switch_feel": _("switch, by feel"), "wheel_gap": _("gap between wheel and inlet"),
    "setscrews": _("setscrews"), "rotation": _("rotation"),
    "fire_system_start": _("start by the fire system"), "overload_present": _("overload"),
    "capacitor_case": _("capacitor case"), "volts_word": _("volts, by word"),
    "amps_absent": _("current not measured"),
}  # fmt: skip

STATES: Words = {
    "runs": _("runs"), "off_by_request": _("off, as the kitchen asked"), "dead": _("does not run"),
    "usual": _("as usual"), "new": _("a new noise"), "grinding": _("grinding"),
    "none": _("none"), "slight": _("slight"), "strong": _("strong"), "violent": _("violent"),
    "clear": _("clear"), "dusty": _("dusty"), "plugged": _("plugged"),
    "surface": _("on the surface"), "deep": _("deep"), "holed": _("holed"),
    "sound": _("sound"), "loose": _("loose"), "broken": _("broken"),
    "engaged": _("present and engaged"), "defeatable": _("can be defeated"),
    "missing": _("missing"), "defeated": _("defeated"), "stretched": _("stretched"),
    "damaged": _("damaged"), "bare": _("bare conductors"), "tight": _("tight"),
    "open": _("open"), "crisp": _("crisp"), "clean": _("clean"), "dirty": _("dirty"),
    "dented": _("dented"), "rubbing": _("rubbing"), "even": _("even"), "uneven": _("uneven"),
    "touching": _("touching"), "found_loose": _("found loose"), "right": _("right"),
    "wrong": _("wrong way"), "worn": _("worn"), "cracked": _("cracked"), "glazed": _("glazed"),
    "quiet": _("quiet"), "noisy": _("noisy"), "hot": _("hot"), "rough": _("rough"),
    "fine": _("fine"), "full": _("full"), "overflowing": _("overflowing"), "on": _("on"),
    "off": _("off"), "leaking": _("leaking"), "works": _("works"), "doubtful": _("doubtful"),
    "fails": _("fails"), "follows": _("follows the fan"),
    "does_not_follow": _("does not follow the fan"), "witnessed": _("witnessed"),
    "not_seen": _("not seen"), "present": _("present"), "bulged": _("bulged"),
    "given_by_qualified": _("given by someone qualified"), "not_measured": _("not measured"),
}  # fmt: skip

SWITCHED: Words = {"on": pgettext_lazy("switch", "on"), "off": pgettext_lazy("switch", "off")}

DETECTORS: Words = {"rms": _("rms"), "peak": _("peak"), "": ""}
QUALIFIERS: Words = {"<": "<", ">": ">", "over": _("over range"), "unstable": _("unstable")}
MISSING: Words = {
    "power_hp": _("the motor's power"), "motor_type": _("the type of motor"),
    "full_load_amps": _("full-load amperes"), "volts": _("the rated volts"),
    "connected_volts": _("which rating is connected"),
    "drive_input_volts": _("the drive's input volts"),
    "service_factor": _("the service factor"), "capacitor_uf": _("the rated microfarads"),
    "vibration_detector": _("whether the meter shows rms or peak"),
    "pole_meter": _("which kind of meter was used"),
    "amps_place": _("whether current was taken before or after the drive"),
    "insulation_temperature_c": _("the winding's temperature"),
    "lead_zero_ohm": _("the meter's reading with its leads together"),
    "belt_span_mm": _("the belt's span"), "phases": _("the number of phases"),
}  # fmt: skip


def words(table: Words, code: str) -> str:
    """The words for a code; a code without any is shown with its underscores as blanks."""
    key = id(table), get_language()
    if key not in _SAID:
        _SAID[key] = table, {code: str(told) for code, told in table.items()}
    said = _SAID[key][1].get(code)
    return code.replace("_", " ") if said is None else said


_SAID: dict[tuple[int, str | None], tuple[Words, dict[str, str]]] = {}
"""Tables by language, each word of which would be looked up anew every time; they are constants of
their modules, held here so that none other is ever found under its number."""


def subject_words(subject: str) -> str:
    """A subject of checks, a point of vibration among them."""
    point = subject.removeprefix("vibration_")
    if point in PLACES and point != subject:
        return f"{words(SUBJECTS, 'vibration')} ({words(PLACES, point)})"
    return words(SUBJECTS, subject)


def upper_first(text: str) -> str:
    """A sentence begins with a capital."""
    return text[:1].upper() + text[1:]
