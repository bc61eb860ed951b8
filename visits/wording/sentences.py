"""One sentence for each code a judgement can carry, with the names of its figures in braces.

``value`` and ``limit`` stand in the judgement's unit; other names are its arguments, made ready by
``visits.wording.judgements``.
"""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from visits.wording.names import Words

CANNOT: Words = {
    "missing": _("Cannot judge {subject} without {missing}."),
    "missing.unreadable": _("Cannot judge {subject}: {missing} cannot be read on the plate."),
    "not_asked": _("{subject}: not asked of this fan because of its {because}; kept as recorded."),
    "qualified": _(
        "Cannot judge {subject}: the reading ({qualifier}) leaves open on which side of a limit "
        "it lies."
    ),
    "unusable": _("Cannot judge {subject}: {error}."),
    "plate_unusable": _("Cannot judge {subject}: the plate does not add up: {error}."),
}

BECAUSE: Words = {
    "motor_type": _("type of motor"),
    "control": _("speed control"),
    "drive": _("direct drive"),
    "thermally_protected": _("built-in thermal protection"),
}

MEASURED: Words = {
    "volts.within": _("{volts} lie within {low} to {high}."),
    "volts.low": _("{value} is below {limit}, the least this motor is built for."),
    "volts.high": _("{value} is above {limit}, the most this motor is built for."),
    "volts.within_on_lower_service": _(
        "{volts} lie above {low}, but the motor is connected for more than the {service_volts} "
        "service: it has little left below."
    ),
    "volts.low_on_lower_service": _(
        "{value} is below {limit}, the least for this connection: the motor is connected for a "
        "higher voltage than the {service_volts} service gives."
    ),
    "volts.only_suggested": _(
        "{volts} suggest the {suggested_v} rating; volts can be judged once somebody has seen at "
        "the connections which rating is in use."
    ),
    "volts_unbalance.within": _("Volts unbalance {value}, not above {limit}."),
    "volts_unbalance.some": _(
        "Volts unbalance {value}, above {limit}{heat}: look for uneven loads and poor connections."
    ),
    "volts_unbalance.high": _(
        "Volts unbalance {value}, above {limit}{heat}{derating}: find the cause."
    ),
    "volts_unbalance.beyond_running": _(
        "Volts unbalance {value}: above {limit} the motor should not run."
    ),
    "lost_phase.none": _("All legs carry current ({legs})."),
    "lost_phase.lost": _(
        "Leg {leg} carries next to nothing ({legs}): a phase is lost. A motor left running so "
        "overheats and may burn out; volts on that leg may be fed back by the motor."
    ),
    "amps.within": _("{legs}: not above full load, {full_load_a}."),
    "amps.low": _(
        "{legs}: far below full load, {full_load_a}. No harm to the motor; see that the wheel "
        "moves air."
    ),
    "amps.in_service_factor": _(
        "{value} is above full load ({full_load_a}) but within its service factor of "
        "{service_factor}, with volts near the rating."
    ),
    "amps.above_full_load": _("{value} is above {limit}{full_load}."),
    "amps.far_above_full_load": _(
        "{value} is far above full load, {full_load_a}: above {limit} the fan should not run."
    ),
    "amps.at_drive_input": _(
        "Current taken before the drive says nothing of the motor; take it at the drive's output."
    ),
    "amps_unbalance.within": _("Current unbalance {value}, not above {limit}."),
    "amps_unbalance.some": _("Current unbalance {value}, above {limit}: compare with the volts."),
    "amps_unbalance.high": _("Current unbalance {value}, above {limit}: find the cause."),
    "overload.within": _("Overload set at {value}; the plate allows {limit}."),
    "overload.above": _(
        "Overload set at {value}, above the {limit} the plate allows ({hard_start_a} only where "
        "the motor would not start)."
    ),
    "overload_present.present": _("An overload is present."),
    "overload_present.none": _("No overload protects this motor."),
    "overload_present.none_bypassed": _(
        "The drive is bypassed and no overload protects the motor on the bypass."
    ),
    "breaker.within": _("Breaker {value}; up to {limit} for this motor."),
    "breaker.above": _("Breaker {value}, above the {limit} for this motor."),
    "breaker.not_in_table": _(
        "Cannot judge the breaker: the tables hold no motor of {power_hp} at {volts}."
    ),
    "winding_unbalance.within": _("Windings {values}: {value} apart, not above {limit}."),
    "winding_unbalance.some": _("Windings {values}: {value} apart, above {limit}."),
    "winding_unbalance.high": _("Windings {values}: {value} apart, above {limit}."),
    "winding_unbalance.open": _("A winding is open."),
    "winding_unbalance.through_electronics": _(
        "Windings read through electronics say nothing; read them at the motor's own leads."
    ),
    "winding_unbalance.not_comparable": _(
        "Run and start windings of a single-phase motor differ by design; nothing to compare."
    ),
    "insulation.good": _(
        "Insulation {value} at {temperature_c}, {corrected} at 40 °C{ways}, not below {limit}."
    ),
    "insulation.fair": _(
        "Insulation {value} at {temperature_c}, {corrected} at 40 °C{ways}, below {limit}"
        "{guidance}."
    ),
    "insulation.low": _(
        "Insulation {value} at {temperature_c}, {corrected} at 40 °C{ways}, below {limit}"
        "{guidance}."
    ),
    "insulation.very_low": _(
        "Insulation {value} at {temperature_c}, {corrected} at 40 °C{ways}, below {limit}"
        "{guidance}."
    ),
    "poles.alike": _("Closed poles {poles}: alike."),
    "poles.high": _("One closed pole is high ({poles}; up to {limit} is alike): investigate."),
    "poles.open": _(
        "A pole reads open with the switch on ({poles}): find out why before the fan runs."
    ),
    "poles.not_above": _(
        "Closed poles {poles}: not above {limit}. A multimeter shows a bad pole, never a good one."
    ),
    "poles.above": _("A closed pole reads {value}, above {limit} ({poles})."),
    "poles.nothing_to_compare": _("One pole alone has nothing to be compared with."),
    "capacitor.within": _("Capacitor {value}, {percent} the plate's {plate_uf}."),
    "capacitor.weak": _("Capacitor {value}, {percent} the plate's {plate_uf}: weak."),
    "capacitor.low": _("Capacitor {value}, {percent} the plate's {plate_uf}: replace it."),
    "capacitor.high": _("Capacitor {value}, {percent} the plate's {plate_uf}: replace it."),
    "capacitor.open": _("The capacitor holds nothing: open."),
    "vibration.within": _("{place}: {value} {detector}, below {limit}{category}."),
    "vibration.above_start": _(
        "{place}: {value} {detector}, at or above {limit}, the most for a fan just started up"
        "{category}."
    ),
    "vibration.alarm": _("{place}: {value} {detector}, at or above the alarm, {limit}{category}."),
    "vibration.shutdown": _(
        "{place}: {value} {detector}, at or above {limit}, where a fan is shut down{category}."
    ),
    "vibration.no_column": _(
        "{place}: cannot be judged in {unit} {detector}, for which the standard has no limits; "
        "measure in mm/s or in in/s peak."
    ),
    "grease.within": _(
        "Grease in the {place}: {value}; the limit is {limit_um}, watched from {limit}."
    ),
    "grease.near": _("Grease in the {place}: {value}, near the limit of {limit_um}."),
    "grease.at_limit": _("Grease in the {place}: {value}, at or above {limit}: have it cleaned."),
    "temperature_difference.alike": _("{value} between like parts, below {limit}."),
    "temperature_difference.possible": _("{value} between like parts: possibly a fault."),
    "temperature_difference.probable": _("{value} between like parts: probably a fault; repair."),
    "temperature_difference.major": _("{value} between like parts: a major fault."),
    "belt_deflection.within": _("Belt gives {value}; {expected} is right for its span."),
    "belt_deflection.slack": _("Belt gives {value}, slack: {expected} is right for its span."),
    "belt_deflection.very_slack": _(
        "Belt gives {value}, far too slack: {expected} is right for its span."
    ),
    "belt_deflection.tight": _(
        "Belt gives {value}, too tight for its bearings: {expected} is right for its span."
    ),
    "sheave_wear.within": _("Sheave grooves worn {value}, not above {limit}."),
    "sheave_wear.worn": _("Sheave grooves worn {value}, above {limit}."),
}

SEEN: Words = {
    # Only what needs more than its item and its state.
    "running.dead": _("The fan does not run."),
    "vibration_felt.slight": _("A slight vibration by hand, not felt before."),
    "vibration_felt.slight_as_before": _("A slight vibration by hand, as felt before."),
    "vibration_felt.strong": _("Strong vibration: it is seen and the curb hums."),
    "vibration_felt.violent": _("Violent vibration: parts move. Hold back and shut the fan down."),
    "corrosion.holed": _("Motor or housing is rusted through."),
    "hinge.broken": _("The hinge is broken: do not tip this fan."),
    "hinge.none": _("There is no hinge: tipping this fan may bend base and wheel."),
    "catch.defeated": _("The hold-open catch is defeated: nothing holds the tipped fan."),
    "catch.missing": _("There is no hold-open catch: nothing holds the tipped fan."),
    "cable.bare": _("The flexible cable shows bare conductors: keep off until it is isolated."),
    "wheel.rubbing": _("The wheel rubs."),
    "wheel_gap.touching": _("The wheel touches its inlet."),
    "rotation.wrong": _("The wheel turns the wrong way: it moves little air and loads the motor."),
    "belt.missing": _("The belt is missing or off: no air moves."),
    "guard.off": _("The guard is off: moving parts are within reach."),
    "capacitor_case.bulged": _("The capacitor has bulged: it may still hold a charge."),
    "make_up_air.does_not_follow": _("Make-up air does not follow the fan."),
}
