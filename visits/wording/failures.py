"""Words for the terms of failures: modes and mechanisms after ISO 14224, causes of our own."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from visits.wording.names import Words

FAILURE_MODES: Words = {
    # Codes of ISO 14224 Annex B (one source; those from BRD on from memory), words ours.
    "AIR": _("abnormal instrument reading"), "ELU": _("leaks outwards"),
    "ERO": _("erratic output"), "FRO": _("does not turn"), "FTS": _("does not start on demand"),
    "HIO": _("high output"), "LOO": _("low output"), "NOO": _("no output"),
    "PDE": _("off its setting"), "PLU": _("plugged"), "STD": _("deficient in structure"),
    "STP": _("does not stop on demand"), "BRD": _("breakdown"), "NOI": _("noise"),
    "OHE": _("overheats"), "SER": _("minor fault while in service"),
    "UST": _("stopped by itself"), "VIB": _("vibration"), "FTF": _("does not work on demand"),
    "SPO": _("works without demand, trips"), "ELP": _("leaks what it carries"),
    "OTH": _("another mode"), "UNK": _("mode not known"),
}  # fmt: skip
MECHANISMS: Words = {
    "leakage": _("leakage"), "vibration": _("vibration"), "misalignment": _("misalignment"),
    "deformation": _("deformation"), "looseness": _("looseness"), "sticking": _("sticking"),
    "cavitation": _("cavitation"), "corrosion": _("corrosion"), "erosion": _("erosion"),
    "wear": _("wear"), "breakage": _("breakage"), "fatigue": _("fatigue"),
    "overheating": _("overheating"), "burst": _("burst"), "faulty_signal": _("faulty signal"),
    "out_of_adjustment": _("out of adjustment"), "short_circuit": _("short circuit"),
    "open_circuit": _("open circuit"), "no_power": _("no power"),
    "faulty_power": _("faulty power"), "earth_fault": _("fault to earth"),
    "blockage": _("blockage"), "contamination": _("contamination"), "loosening": _("loosening"),
    "seizure": _("seizure"), "impact": _("impact"), "unknown": _("not known"),
}  # fmt: skip
CAUSE_GROUPS: Words = {
    "electrical": _("electrical"), "mechanical": _("mechanical"), "grease": _("grease"),
    "corrosion": _("corrosion and water"), "handling": _("handling"), "supply": _("supply"),
    "age": _("age"), "": _("on no list"),
}  # fmt: skip
CAUSES: Words = {
    "loose_connection": _("a loose or burnt connection"),
    "winding_to_ground": _("a winding low to ground"),
    "lost_phase": _("a lost phase"),
    "speed_control_heat": _("heat from being slowed too far"),
    "overload_too_high": _("an overload set too high, or none"),
    "set_too_low": _("an overload set below the motor's current"),
    "shaft_currents": _("currents of the drive through the bearings"),
    "weak_capacitor": _("a weak capacitor"),
    "vibration": _("vibration"),
    "mechanical_load": _("something that keeps it from turning freely"),
    "belt_too_tight": _("a belt too tight"),
    "belt_too_slack": _("a belt too slack"),
    "misaligned_sheaves": _("sheaves out of line"),
    "worn_sheaves": _("worn sheaves"),
    "resonance": _("resonance since mounting or speed was changed"),
    "loose_setscrew": _("loose setscrews"),
    "loose_mounting": _("a loose curb or mounting"),
    "grease_on_wheel": _("grease on the wheel"),
    "vents_plugged": _("plugged motor vents"),
    "grease_coating": _("a coat of grease"),
    "no_grease": _("bearings without grease"),
    "over_greased": _("too much grease, or grease past a seal"),
    "corrosion": _("corrosion"),
    "water_entry": _("water let in by weather"),
    "wash_water": _("water from a cleaning"),
    "rough_handling": _("rough handling"),
    "left_off": _("left switched off"),
    "reversed_rotation": _("rotation reversed after work"),
    "not_retensioned": _("a new belt not tightened again"),
    "changed_in_kitchen": _("work on the hood or kitchen"),
    "low_voltage": _("low voltage"),
    "high_voltage": _("high voltage"),
    "voltage_unbalance": _("unequal voltages"),
    "surge": _("a surge or power event"),
    "wear": _("wear with age"),
    "other": _("another cause, on no list"),
}  # fmt: skip
