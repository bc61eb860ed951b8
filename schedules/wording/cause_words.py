"""Words for what speaks for a cause and against it, for looks to take next and their cautions."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from visits.wording.names import Words

BANDS: Words = {
    "most_likely": _("most likely"), "likely": _("likely"), "possible": _("possible"),
    "not_shown": _("not shown"),
}  # fmt: skip

EVIDENCE: Mapping[str, tuple[str | Promise, str | Promise]] = {
    "shaking": (_("the fan was shaking"), _("it was not found shaking")),
    "unsteady": (_("it did not run still"), _("it ran still")),
    "shakes_since_changed": (
        _("its mounting or speed was changed shortly before"),
        _("it did not begin to shake when mounting or speed was changed"),
    ),
    "tipped": (
        _("it was laid over at a hood cleaning shortly before"),
        _("it was not laid over at the last cleaning, or ran well after it"),
    ),
    "cleaned_lately": (_("the hood was cleaned in the three days before"), ""),
    "washed_lately": (_("the hood was cleaned in the ten days before"), ""),
    "storm": (_("there was a storm shortly before"), ""),
    "power_event": (_("the power was disturbed shortly before"), ""),
    "kitchen_changed": (_("the kitchen was changed shortly before"), ""),
    "breaker_reset": (_("the breaker had been reset"), ""),
    "cover_open": (_("the switch cover was loose or open"), _("the switch cover was tight")),
    "corroded": (_("there is corrosion"), _("no corrosion was seen")),
    "corroded_deep": (_("corrosion is deep"), _("no deep corrosion was seen")),
    "harsh_air": (_("the air there is salt or corrosive"), _("the air there is not corrosive")),
    "volts_low": (_("volts were low"), _("volts were not low")),
    "volts_high": (_("volts were high"), _("volts were not high")),
    "volts_unbalanced": (_("the lines' volts were unequal"), _("the lines' volts were equal")),
    "phase_lost": (_("a phase was lost"), _("no phase was lost")),
    "legs_unequal": (_("the legs' current was unequal"), _("the legs' current was equal")),
    "amps_high": (_("it drew too much current"), _("it did not draw too much current")),
    "insulation_low": (_("the winding's insulation is low"), _("the winding's insulation is good")),
    "winding_unequal": (_("the windings are unequal"), _("the windings are equal")),
    "hot_joint": (_("a connection ran hot"), _("no connection ran hot")),
    "poles_uneven": (_("the switch's poles are uneven"), _("the switch's poles are even")),
    "switch_loose": (_("the switch feels loose"), _("the switch feels crisp")),
    "overload_set_high": (
        _("the overload was set too high, or there was none"),
        _("the overload was not set too high"),
    ),
    "overload_set_low": (
        _("the overload is set below the motor's current"),
        _("the overload is not set below the motor's current"),
    ),
    "capacitor_weak": (_("the capacitor was at fault"), _("the capacitor was good")),
    "vents_plugged": (_("the motor vents were plugged"), _("the motor vents were not plugged")),
    "vents_dusty": (_("the motor vents were dusty"), _("the motor vents were clear")),
    "bearings_rough": (
        _("it ground, rubbed or ran rough"), _("it was not heard to grind or rub"),
    ),
    "wheel_dirty": (_("the wheel was dirty"), _("the wheel was clean")),
    "grease_thick": (_("grease stood thick"), _("grease did not stand thick")),
    "wheel_bent": (
        _("the wheel or its gap had suffered"), _("wheel and gap were as they should be"),
    ),
    "setscrews_loose": (_("setscrews were loose"), _("setscrews were tight")),
    "rotation_wrong": (_("it turned the wrong way"), _("it turned the right way")),
    "curb_loose": (_("the curb was loose"), _("the curb was not loose")),
    "hinge_missing": (_("there is no hinge"), _("there is a hinge")),
    "hinge_loose": (_("the hinge was loose"), _("the hinge was not loose")),
    "cable_stretched": (_("the cable had been pulled"), _("the cable had not been pulled")),
    "belt_tight": (_("the belt was too tight"), _("the belt was not too tight")),
    "belt_slack": (_("the belt was slack"), _("the belt was not slack")),
    "belt_glazed": (_("the belt was glazed"), _("the belt was not glazed")),
    "belt_worn": (_("the belt was worn"), _("the belt was not worn")),
    "sheaves_worn": (_("the sheaves were worn"), _("the sheaves were sound")),
    "belt_new": (_("the belt was new"), _("the belt was not new")),
    "sheaves_changed": (
        _("the sheaves had lately been changed"), _("the sheaves had not lately been changed"),
    ),
    "machine_changed": (
        _("the machine had lately been replaced"), _("the machine had not lately been replaced"),
    ),
    "part_old": (_("the part was old"), _("the part was not old")),
    "part_new": (_("the part was new"), _("the part was not new")),
    "greased_sealed": (_("sealed bearings were greased"), ""),
    "never_greased": (_("no greasing is on record"), _("it has been greased")),
    "failed_again": (_("the same part failed here within a year"), ""),
    "triac": (_("a triac slows it"), _("no triac slows it")),
    "drive": (_("it runs on a drive"), _("it does not run on a drive")),
    "loosened": (_("it was written down that it had come loose"), ""),
    "shaken": (_("vibration was written down as what happened to it"), ""),
    "tired": (_("fatigue was written down"), ""),
    "rusted": (_("it was written down as rusted"), ""),
    "leaked_in": (_("it was written down as leaking"), ""),
    "overheated": (_("it was written down as overheated"), ""),
    "shorted": (_("a short circuit or fault to earth was written down"), ""),
    "badly_fed": (_("faulty power was written down"), ""),
    "seized": (_("it was written down as seized or sticking"), ""),
    "struck": (_("it was written down as struck or bent"), ""),
    "out_of_line": (_("it was written down as out of line"), ""),
    "set_wrong": (_("it was written down as out of adjustment"), ""),
    "dirtied": (_("it was written down as dirty or blocked"), ""),
    "worn": (_("it was written down as worn"), ""),
}  # fmt: skip
"""Each piece where it is there, and where it was looked for in vain."""

LOOKS: Words = {
    "feel_vibration": _("Feel by hand on the curb, or measure, whether it shakes."),
    "ask_cleaning": _("Ask whether the hood was cleaned, and whether this fan was laid over."),
    "ask_weather": _("Ask whether there was a storm or heavy rain just before."),
    "ask_power": _("Ask whether the power failed or flickered, and who reset what."),
    "ask_kitchen": _("Ask whether anybody worked on the hood or in the kitchen."),
    "ask_greasing": _("Find out when the bearings were greased last, and with what."),
    "see_covers": _("See whether switch cover and conduit are tight, and look for water in them."),
    "see_corrosion": _("See how far corrosion has gone."),
    "measure_volts": _("Have the volts of all lines measured at the switch under load."),
    "measure_amps": _("Have the current of each leg measured under load."),
    "test_insulation": _("Have the winding's insulation to ground tested."),
    "measure_windings": _("Have the windings' resistances compared."),
    "measure_capacitor": _("Have the capacitor discharged and measured."),
    "measure_poles": _("Have the switch's closed poles measured."),
    "see_terminals": _("Have the terminals looked at for heat and loose screws."),
    "feel_switch": _("Feel, its cover shut, whether the switch is crisp or loose."),
    "read_overload": _("Have the overload's setting read against the plate."),
    "see_vents": _("See whether the motor vents are clear."),
    "turn_by_hand": _("Turn the wheel by hand: does it run free and without a rub?"),
    "see_wheel": _("See whether the wheel is clean and straight, and its gap even."),
    "see_grease": _("See how thick grease stands in box, duct and housing."),
    "try_setscrews": _("Try the setscrews, and torque them to the maker's figure."),
    "see_rotation": _("See that it turns the right way."),
    "see_curb": _("See whether the curb is tight."),
    "see_hinge": _("See whether there is a hinge, and whether it is sound."),
    "see_cable": _("See whether the cable has been pulled or rubbed."),
    "measure_belt": _("Measure the belt's deflection."),
    "see_belt": _("See whether the belt is glazed, cracked or worn."),
    "see_sheaves": _("See whether the sheaves are worn, and lie in one line."),
}  # fmt: skip

LOOK_CAUTIONS: Words = {
    "lock_out": _(
        "Lock out at the fan first and prove it dead: hood switch, heat sensor or fire system can "
        "start it."
    ),
    "stored_charge": _(
        "Capacitors and drives hold charge: opened circuits only by electrically qualified people."
    ),
    "prove_tester": _(
        "Live readings only by someone recorded as qualified, with protection; prove the tester "
        "before and after."
    ),
    "windmill": _("A fan may windmill: hold the wheel before you reach in."),
    "no_reset": _("A tripped breaker stays off until the circuit is judged safe."),
    "never_under": _("Never work under a tipped fan held by a prop."),
    "hands_off": _("Keep hands and sleeves off what turns."),
}  # fmt: skip

TROUBLES: Words = {
    "no_table": _("No causes are listed for this part."),
    "not_on_this_machine": _(
        "By the register this machine has no such part: see whether the item or the plate is "
        "recorded rightly."
    ),
}  # fmt: skip
