"""Words of the form: names of readings, steps, what vibration feels like, cautions."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from schedules.fan_page.cautions import caution_last, cautions_before, no_prop_text, often_text
from schedules.fan_page.readings import UNJUDGED_WORDS
from visits.wording import SUBJECTS, subject_words, words
from visits.wording.names import Words

STEP_TITLES: Words = {
    "arrive": gettext_lazy("Arrive"),
    "look": gettext_lazy("Look"),
    "live": gettext_lazy("Measure on live parts"),
    "dead": gettext_lazy("Measure locked out"),
    "leave": gettext_lazy("Leave"),
    "tell": gettext_lazy("Tell the owner"),
}
PLACE_TITLES: Words = {
    "wheel": gettext_lazy("Motor and wheel, locked out"),
    "hinge": gettext_lazy("Hinge, catch, cable"),
    "switch": gettext_lazy("At the switch"),
    "around": gettext_lazy("Around the fan"),
    "belt": gettext_lazy("Belt drive, locked out"),
    "kitchen": gettext_lazy("In the kitchen"),
    "running": gettext_lazy("Shut again and running"),
}
QUANTITY_WORDS: Words = {
    **UNJUDGED_WORDS,
    "volts_ab_v": gettext_lazy("volts A-B"),
    "volts_bc_v": gettext_lazy("volts B-C"),
    "volts_ca_v": gettext_lazy("volts C-A"),
    "amps_a_a": gettext_lazy("current, leg A"),
    "amps_b_a": gettext_lazy("current, leg B"),
    "amps_c_a": gettext_lazy("current, leg C"),
    "overload_setting_a": gettext_lazy("overload setting"),
    "winding_ab_ohm": gettext_lazy("winding A-B"),
    "winding_bc_ohm": gettext_lazy("winding B-C"),
    "winding_ca_ohm": gettext_lazy("winding C-A"),
    "insulation_megohm": gettext_lazy("insulation to ground"),
    "pole_1_ohm": gettext_lazy("switch pole 1, closed"),
    "pole_2_ohm": gettext_lazy("switch pole 2, closed"),
    "pole_3_ohm": gettext_lazy("switch pole 3, closed"),
    "lead_zero_ohm": gettext_lazy("leads together"),
    "capacitor_uf": gettext_lazy("capacitor"),
    "grease_hood_low_um": gettext_lazy("grease in the hood, mark covered"),
    "grease_hood_high_um": gettext_lazy("grease in the hood, next mark, free"),
    "grease_duct_low_um": gettext_lazy("grease in the duct, mark covered"),
    "grease_duct_high_um": gettext_lazy("grease in the duct, next mark, free"),
    "grease_housing_low_um": gettext_lazy("grease in the fan housing, mark covered"),
    "grease_housing_high_um": gettext_lazy("grease in the fan housing, next mark, free"),
    "temperature_difference_k": gettext_lazy("warmer than a similar connection by"),
    "belt_deflection_mm": gettext_lazy("belt deflection at its force"),
    "sheave_wear_mm": gettext_lazy("wear of the sheave's groove"),
    "vibration_detector": gettext_lazy("the meter shows"),
    "vibration_meter": gettext_lazy("vibration meter"),
}
FIELD_WORDS: Words = {
    "insulation_megohm": gettext_lazy("Tell the winding's temperature too."),
    "lead_zero_ohm": gettext_lazy("Touch the leads together first; it is taken off."),
    "belt_deflection_mm": gettext_lazy(
        "Pressed at mid-span with the force that the belt's section calls for."
    ),
    "pole_1_ohm": gettext_lazy("Across the closed pole, locked out and proved dead."),
}
CHOICE_WORDS: Words = {
    "rms": gettext_lazy("rms"),
    "peak": gettext_lazy("peak"),
    "overall": gettext_lazy("overall"),
    "spectrum": gettext_lazy("spectrum"),
    "phone": gettext_lazy("a phone"),
    "line": gettext_lazy("line side"),
    "drive_output": gettext_lazy("drive's output"),
    "low_resistance": gettext_lazy("low-resistance meter"),
    "multimeter": gettext_lazy("multimeter"),
}
# What each grade feels like: common practice, no source.
FELT_ANCHORS: Words = {
    "none": gettext_lazy("A bare hand on the curb feels nothing."),
    "slight": gettext_lazy("Felt by hand, not seen."),
    "strong": gettext_lazy("Seen to shake, or the curb hums."),
    "violent": gettext_lazy("Parts move, loud: keep back and have it switched off."),
}
VERDICT_MARKS = {
    code: code.replace("_", "-") for code in ("within", "watch", "act", "stop", "cannot_judge")
}
"""Names of the drawn marks in config/templates/verdict_marks.html."""


def quantity_words(name: str) -> str:
    """What a field asks for; vibration by its point."""
    if name in QUANTITY_WORDS:
        return words(QUANTITY_WORDS, name)
    return (
        subject_words(name.removesuffix("_mm_s")) if name not in SUBJECTS else subject_words(name)
    )


def caution_texts(step: str) -> list[str]:
    """What to mind at a step; common cautions, local codes and licensed people come first."""
    match step:
        case "arrive":
            told = [*cautions_before(), _roof(), often_text()]
        case "look":
            told = [_covers(), _wheel(), no_prop_text()]
        case "live":
            told = [_live(), _resets()]
        case "dead":
            told = [_prove(), _charge(), _phases()]
        case "leave":
            told = [_leaving(), _torque()]
        case _:
            return []
    return [*told, caution_last()]


def place_cautions(place: str) -> list[str]:
    """What to mind where one stands, told again where it matters."""
    told = {"wheel": _wheel, "hinge": no_prop_text, "belt": _wheel, "running": _leaving}
    return [told[place]()] if place in told else []


def _roof() -> str:
    return _(
        "Keep from roof edges and skylights; no work in lightning, ice or high wind. Alone: "
        "somebody must know where you are and when you will call."
    )


def _covers() -> str:
    return _("A walk needs no live work: leave covers of live parts closed.")


def _wheel() -> str:
    return _("Hands off a wheel that is not locked out; it may windmill.")


def _live() -> str:
    return _(
        "Only if you are recorded as qualified, with the protection the task demands, and only "
        "if it is needed. Prove the tester before and after."
    )


def _resets() -> str:
    return _("No breaker reset until the circuit is judged safe; count every reset.")


def _prove() -> str:
    return _(
        "Lock out at the fan and keep the key. Prove the tester, test every phase to phase and "
        "to ground, prove the tester again."
    )


def _charge() -> str:
    return _("Capacitors and drives hold charge after they are switched off.")


def _phases() -> str:
    return _("Mark phase order before disconnecting; check rotation after.")


def _leaving() -> str:
    return _(
        "Everybody clear before the lock comes off; say that the fan starts. See it run and turn "
        "the right way."
    )


def _torque() -> str:
    return _("Torque to the maker's figure.")
