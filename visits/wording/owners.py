"""The same judgements for owners of kitchens: what it means for the fan, in words of no trade.

Limits are plain and keep their figures; what may come of a fault is hedged; nothing here tells a
technician what to do.
"""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from visits.wording.names import Words

OWNER_MEASURED: Words = {
    "volts.low": _(
        "The building's supply gives {value}; this motor is built for no less than {limit}. It may "
        "run hot and wear out early."
    ),
    "volts.high": _(
        "The building's supply gives {value}; this motor is built for no more than {limit}. It may "
        "run hot and wear out early."
    ),
    "volts.low_on_lower_service": _(
        "The motor is connected for a higher voltage than the building's {service_volts} supply: "
        "it gets {value} and should get {limit} or more. It may run hot and wear out early."
    ),
    "volts_unbalance.some": _(
        "The three phases of the supply differ by {value}; up to {limit} is usual. The motor runs "
        "warmer for it."
    ),
    "volts_unbalance.high": _(
        "The three phases of the supply differ by {value}, more than the {limit} a motor bears "
        "well. It may wear out early; the cause is not determined."
    ),
    "volts_unbalance.beyond_running": _(
        "The three phases of the supply differ by {value}: above {limit} the motor must not run."
    ),
    "lost_phase.lost": _(
        "One of the motor's three phases carries next to nothing. A motor left running like that "
        "overheats and may burn out."
    ),
    "amps.in_service_factor": _(
        "The motor draws {value}, more than its full load of {full_load_a}, though still within "
        "its reserve."
    ),
    "amps.above_full_load": _(
        "The motor draws {value}, more than the {limit} its plate allows. It may overheat."
    ),
    "amps.far_above_full_load": _(
        "The motor draws {value}, far more than its full load of {full_load_a}: above {limit} the "
        "fan must not run."
    ),
    "amps_unbalance.some": _(
        "The currents of the motor's phases differ by {value}; up to {limit} is usual."
    ),
    "amps_unbalance.high": _(
        "The currents of the motor's phases differ by {value}, more than {limit}. The motor may "
        "overheat; the cause is not determined."
    ),
    "overload.above": _(
        "The motor's overload protection is set at {value}; its plate allows {limit}. Set so high "
        "it may not save the motor."
    ),
    "overload_present.none": _(
        "Nothing protects this motor from overload: it may burn out instead of switching off."
    ),
    "overload_present.none_bypassed": _(
        "The speed drive is bypassed and nothing protects the motor from overload meanwhile: it "
        "may burn out instead of switching off."
    ),
    "breaker.above": _(
        "The circuit breaker is {value}; no more than {limit} fits this motor. Set so high it may "
        "not save the wiring or the motor."
    ),
    "winding_unbalance.some": _(
        "The motor's windings differ by {value}; up to {limit} is usual. This may be the "
        "beginning of a motor failure."
    ),
    "winding_unbalance.high": _(
        "The motor's windings differ by {value}, more than {limit}. The motor may be failing."
    ),
    "winding_unbalance.open": _("A winding of the motor is interrupted: the motor must not run."),
    "insulation.fair": _(
        "The motor's insulation measures {corrected}; {limit} or more is good{guidance}. Moisture, "
        "grease or age may be behind it."
    ),
    "insulation.low": _(
        "The motor's insulation measures {corrected}, below {limit}{guidance}. Moisture, grease or "
        "age may be behind it; the motor may fail."
    ),
    "insulation.very_low": _(
        "The motor's insulation measures {corrected}, below {limit}{guidance}: as it is the motor "
        "must not run."
    ),
    "poles.high": _(
        "One contact of the fan's switch conducts worse than the others. If it gets worse, the "
        "motor may lose part of its supply, and stop or burn out."
    ),
    "poles.open": _(
        "One contact of the fan's switch stays open when it is on: the fan must not run until that "
        "is put right, or the motor may burn out."
    ),
    "poles.above": _(
        "A contact of the fan's switch conducts badly: {value}, more than {limit}. The motor may "
        "lose part of its supply, and stop or burn out."
    ),
    "capacitor.weak": _(
        "The motor's starting part, its capacitor, has grown weak: {value}, {percent} its mark of "
        "{plate_uf}."
    ),
    "capacitor.low": _(
        "The motor's starting part, its capacitor, is worn out: {value}, {percent} its mark of "
        "{plate_uf}. The motor may not start, or may overheat."
    ),
    "capacitor.high": _(
        "The motor's starting part, its capacitor, is off its mark: {value}, {percent} {plate_uf}. "
        "The motor may overheat."
    ),
    "capacitor.open": _(
        "The motor's starting part, its capacitor, has failed: the motor may not start."
    ),
    "vibration.above_start": _(
        "The fan vibrates more than one just put in order: {value} {detector}, limit {limit}."
    ),
    "vibration.alarm": _(
        "The fan vibrates at {value} {detector}, at or above the alarm limit of {limit}. Bearings "
        "and fixings may give way if it goes on."
    ),
    "vibration.shutdown": _(
        "The fan vibrates at {value} {detector}, at or above {limit}, the limit at which a fan is "
        "shut down."
    ),
    "grease.near": _("Grease in the {place} is {value} deep; at {limit_um} it must be cleaned."),
    "grease.at_limit": _(
        "Grease in the {place} is {value} deep, at or above {limit}, the depth at which it must be "
        "cleaned. Grease there can feed a fire."
    ),
    "temperature_difference.possible": _(
        "One electrical part runs {value} warmer than its like: possibly a fault."
    ),
    "temperature_difference.probable": _(
        "One electrical part runs {value} warmer than its like: probably a fault, to be repaired."
    ),
    "temperature_difference.major": _(
        "One electrical part runs {value} warmer than its like: a serious fault. It must not stay "
        "in use."
    ),
    "belt_deflection.slack": _(
        "The belt is slack: it gives {value} where {expected} is right. It may slip and move less "
        "air."
    ),
    "belt_deflection.very_slack": _(
        "The belt is far too slack: it gives {value} where {expected} is right. It may "
        "slip, move less air and come off."
    ),
    "belt_deflection.tight": _(
        "The belt is too tight: it gives {value} where {expected} is right. It may wear out the "
        "bearings."
    ),
    "sheave_wear.worn": _(
        "The pulleys that carry the belt are worn: grooves {value} deep, more than {limit}. They "
        "may wear out belts."
    ),
}
"""Codes that a measured thing beyond *within* can carry."""

OWNER_SEEN: Words = {
    "running.dead": _("The fan does not run, so nothing may be cooked under it."),
    "noise.new": _("The fan makes a noise it did not make before."),
    "noise.grinding": _("The fan makes a grinding noise: a bearing may be failing."),
    "vibration_felt.slight": _("The fan has begun to vibrate slightly."),
    "vibration_felt.slight_as_before": _("The fan vibrates slightly, as before."),
    "vibration_felt.strong": _(
        "The fan shakes so much that it can be seen and its base hums. Something may be working "
        "loose; the cause is not determined."
    ),
    "vibration_felt.violent": _("The fan shakes violently: it must be off."),
    "motor_vents.dusty": _("The motor's cooling vents are dusty."),
    "motor_vents.plugged": _("The motor's cooling vents are plugged: it may overheat."),
    "corrosion.surface": _("There is rust on the surface of the motor or its housing."),
    "corrosion.deep": _("Rust has gone deep into the motor or its housing."),
    "corrosion.holed": _("The motor or its housing is rusted through."),
    "hinge.loose": _("The hinge on which the fan is tipped for cleaning is loose."),
    "hinge.broken": _("The hinge is broken: the fan must not be tipped for cleaning."),
    "hinge.none": _(
        "The fan has no hinge: whoever tips it for cleaning may bend its base and its wheel."
    ),
    "catch.defeatable": _("The catch that holds the tipped fan can come undone."),
    "catch.missing": _(
        "There is no catch to hold the tipped fan: it may fall on whoever cleans beneath it."
    ),
    "catch.defeated": _(
        "The catch that holds the tipped fan is out of action: the fan may fall on whoever cleans "
        "beneath it. It must not be tipped."
    ),
    "cable.stretched": _("The fan's power cable is stretched when the fan is tipped."),
    "cable.damaged": _("The fan's power cable is damaged."),
    "cable.bare": _(
        "The fan's power cable shows bare conductors: nobody may touch fan or cable until "
        "qualified people have isolated it."
    ),
    "switch_cover.loose": _("The cover of the fan's switch or wiring is loose: rain may get in."),
    "switch_cover.open": _("The fan's switch or wiring is open: rain can get in."),
    "switch_feel.loose": _("The fan's switch feels loose: its contacts may be worn."),
    "wheel.dirty": _("The fan's wheel is dirty: it may move less air and begin to shake."),
    "wheel.dented": _("The fan's wheel is dented: it may begin to shake."),
    "wheel.rubbing": _("The fan's wheel rubs on its housing: the fan must not run like that."),
    "wheel_gap.uneven": _("The fan's wheel sits unevenly over its inlet."),
    "wheel_gap.touching": _("The fan's wheel touches its inlet: the fan must not run like that."),
    "setscrews.found_loose": _("The screws that hold the wheel on its shaft were found loose."),
    "rotation.wrong": _("The fan turns the wrong way: it moves little air and strains its motor."),
    "belt.worn": _("The belt is worn."),
    "belt.cracked": _("The belt is cracked: it may break, and then no air moves."),
    "belt.glazed": _("The belt is glazed: it may slip and move less air."),
    "belt.missing": _("The belt is missing or off: no air moves."),
    "sheaves.worn": _("The pulleys that carry the belt are worn."),
    "sheaves.cracked": _("A pulley that carries the belt is cracked: it may break."),
    "sheaves.missing": _("A pulley that carries the belt is missing: no air moves."),
    "bearings.noisy": _("A bearing is noisy."),
    "bearings.hot": _("A bearing runs hot: it may fail."),
    "bearings.rough": _("A bearing runs rough: it may fail."),
    "grease_box.full": _("The box that catches the fan's grease is full."),
    "grease_box.overflowing": _(
        "The box that catches the fan's grease overflows: grease may run onto the roof."
    ),
    "guard.off": _("The guard is off: moving parts are within reach."),
    "curb.leaking": _("The base on which the fan stands leaks: rain may get into the building."),
    "curb.loose": _("The base on which the fan stands is loose."),
    "hood_switch.doubtful": _("The switch at the hood may not work every time."),
    "hood_switch.fails": _("The switch at the hood does not work."),
    "heat_sensor.doubtful": _("The heat sensor that starts the fan may not work every time."),
    "heat_sensor.fails": _("The heat sensor that starts the fan does not work."),
    "make_up_air.does_not_follow": _(
        "Fresh air does not come on with the fan: the hood may not catch all smoke."
    ),
    "capacitor_case.bulged": _(
        "The motor's starting part, its capacitor, has bulged: it may fail at any time, and only "
        "qualified people may touch it."
    ),
}
"""Codes that a seen thing beyond *within* can carry."""

OWNER_SUBJECTS: Words = {
    "curb": _("the fan's base"),
    "sheaves": _("the pulleys that carry the belt"),
    "sheave_wear": _("the pulleys that carry the belt"),
    "belt_deflection": _("the belt"),
    "setscrews": _("the screws that hold the wheel"),
    "wheel": _("the fan's wheel"),
    "wheel_gap": _("the gap between the fan's wheel and its inlet"),
    "rotation": _("the way the fan turns"),
    "running": _("how the fan runs"),
    "noise": _("the fan's noise"),
    "vibration": _("the fan's vibration"),
    "vibration_felt": _("the fan's vibration"),
    "motor": _("the motor"),
    "motor_vents": _("the motor's cooling vents"),
    "amps": _("the motor's current"),
    "amps_unbalance": _("the motor's current"),
    "amps_absent": _("the motor's current"),
    "winding_unbalance": _("the motor's windings"),
    "insulation": _("the motor's insulation"),
    "capacitor": _("the motor's capacitor"),
    "capacitor_case": _("the motor's capacitor"),
    "bearings": _("the bearings"),
    "corrosion": _("rust on motor and housing"),
    "housing": _("the fan's housing"),
    "machine": _("the fan"),
    "drive": _("the fan's drive"),
    "supply": _("the building's supply"),
    "volts": _("the building's supply"),
    "volts_word": _("the building's supply"),
    "volts_unbalance": _("the building's supply"),
    "lost_phase": _("the motor's phases"),
    "feed": _("the fan's wiring"),
    "temperature_difference": _("a warm electrical part"),
    "conduit": _("the fan's wiring"),
    "breaker": _("the circuit breaker"),
    "overload": _("the motor's overload protection"),
    "overload_present": _("the motor's overload protection"),
    "switch": _("the fan's switch"),
    "switch_cover": _("the cover of the fan's switch"),
    "switch_feel": _("the fan's switch"),
    "poles": _("the contacts of the fan's switch"),
    "hinge": _("the hinge on which the fan is tipped"),
    "catch": _("the catch that holds the tipped fan"),
    "cable": _("the fan's power cable"),
    "guard": _("the guard over moving parts"),
    "belt": _("the belt"),
    "duct": _("the duct"),
    "grease": _("grease"),
    "grease_hood": _("grease in the hood"),
    "grease_duct": _("grease in the duct"),
    "grease_housing": _("grease in the fan's housing"),
    "grease_box": _("the box that catches the fan's grease"),
    "hood_switch": _("the switch at the hood"),
    "heat_sensor": _("the heat sensor that starts the fan"),
    "make_up_air": _("fresh air that comes on with the fan"),
    "fire_system": _("fan and fire system together"),
    "fire_system_start": _("fan and fire system together"),
    "hour_meter": _("the hour meter"),
    "shaft": _("the fan's shaft"),
}
"""What a technician names in one word; points of vibration are the fan's vibration."""

OWNER_VERDICTS: Words = {
    "watch": _("{item}: a small fault was found; it is being watched."),
    "act": _("{item}: a fault was found that has to be put right."),
    "stop": _("{item}: a fault was found with which the fan must not run."),
}
"""Where no reading tells more: what a person found, without the words they wrote for colleagues."""

NO_BELT = _(
    "By our register this fan has no belt: either that or what is told of a belt is wrong, and it "
    "is still to be found out which."
)
"""Beside what was told of a belt of a fan that has none by the register."""

LEFT_SO: Words = {
    "supply": _("Left so, the motor may run hot and fail early."),
    "motor": _("Left so, the motor may fail, perhaps in the middle of service."),
    "overload": _("Left so, a motor in trouble may burn out instead of switching off."),
    "breaker": _("Left so, wiring or motor may be harmed before the breaker trips."),
    "switch": _("Left so, a contact may fail, and the motor stop or burn out."),
    "capacitor": _("Left so, the motor may one day not start, or may overheat."),
    "wheel": _("Left so, the fan may move less air, shake, and wear out its bearings."),
    "duct": _("Left so, grease goes on building up, and grease in a duct can feed a fire."),
    "housing": _("Left so, the fan may go on to weaken until it has to be replaced."),
    "feed": _("Left so, an electrical part may overheat and fail."),
    "belt": _("Left so, the belt may break or come off, and then no air moves."),
    "sheaves": _("Left so, belts may wear out quickly, and one may come off in service."),
    "drive": _("Left so, the fan may stop, perhaps in the middle of service."),
    "bearings": _("Left so, a bearing may seize and stop the fan."),
    "hinge": _("Left so, tipping the fan for cleaning may harm it, or be refused by the cleaners."),
    "catch": _("Left so, the tipped fan may fall on whoever cleans beneath it."),
    "cable": _("Left so, the cable may fail, stop the fan or become a danger to touch."),
    "conduit": _("Left so, water may reach the wiring."),
    "grease_box": _("Left so, grease may run onto the roof and harm it."),
    "guard": _("Left so, somebody on the roof may be hurt by moving parts."),
    "curb": _("Left so, rain may get into the building or the fan work loose."),
    "hood_switch": _("Left so, the kitchen may be unable to start or stop the fan when it must."),
    "heat_sensor": _("Left so, the fan may not start by itself when it gets hot under the hood."),
    "make_up_air": _("Left so, the hood may not catch all smoke and doors may pull hard."),
    "fire_system": _("Left so, nobody can say that fan and fire system work together."),
    "machine": _("Left so, the fan may fail, perhaps in the middle of service."),
    "shaft": _("Left so, the shaft may break and stop the fan."),
    "hour_meter": _("Left so, running hours are not known, and greasing may come late."),
}
"""What may come of an item left as it is; common practice of the trade, no source."""
OTHERWISE = _("Left so, it may get worse; how soon nobody can tell.")
