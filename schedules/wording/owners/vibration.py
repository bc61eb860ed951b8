"""What a fan's vibration means for its owner."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from schedules.due.evidence import VERDICT_NAMES
from schedules.engine.record import RuleDate
from schedules.engine.vibration_step import EVENT_KINDS
from schedules.wording.days import day_text
from schedules.wording.vibration import AS_STORED, Measured
from visits.wording import fault_for_owner, words
from visits.wording.names import Words

_LEVELS: Words = {
    "watch": gettext_lazy("{seen} Measured {day}; it has to be measured once more."),
    "act": gettext_lazy("{seen} Measured {day}; it has to be put right."),
    "act_again": gettext_lazy("{seen} First measured {day} and not better since."),
    "stop": gettext_lazy(
        "{seen} Measured {day}: the fan must not run until qualified people have put it right."
    ),
}
_FELT: Words = {
    "watch": gettext_lazy("{seen} Felt by hand {day}; it has to be looked at once more."),
    "act": gettext_lazy("{seen} Felt by hand {day}; it has to be put right."),
    "act_again": gettext_lazy("{seen} First felt {day} and not better since."),
    "stop": gettext_lazy(
        "{seen} Found {day}: the fan must not run until qualified people have put it right."
    ),
}
"""What a hand tells is no measurement."""
_LIMITS: Words = {
    "watch": gettext_lazy(
        "The fan vibrates more than one just put in order: {value}, limit {limit}."
    ),
    "act": gettext_lazy("The fan vibrates at {value}, at or above the alarm limit of {limit}."),
    "stop": gettext_lazy(
        "The fan vibrates at {value}, at or above {limit}, the limit at which a fan is shut down."
    ),
}
_JUST_BEFORE: Words = {
    "": gettext_lazy("."),
    "hood_cleaning": gettext_lazy(", after the hood cleaning of {day}."),
    "hood_cleaning_tipped": gettext_lazy(
        ", after the hood cleaning of {day}, for which the fan was tipped."
    ),
    "storm": gettext_lazy(", after the storm of {day}."),
    "power_event": gettext_lazy(", after the trouble with the power on {day}."),
    "kitchen_change": gettext_lazy(", after the kitchen was changed on {day}."),
}


def vibration_told(told: RuleDate, seen: str = "", measured: Measured = AS_STORED) -> str:
    """Why vibration asks for a visit; an event is named as what came before, never as the cause."""
    if told.why == "step":
        return _step(told, measured)
    if told.why == "trend":
        return _trend(told, measured)
    verdict = VERDICT_NAMES[int(told.args["verdict"])]
    again = verdict == "act" and int(told.args.get("nth", 1)) > 1
    levels = _LEVELS if "value_mm_s" in told.args else _FELT
    return words(levels, "act_again" if again else verdict).format(
        seen=seen or _level(told, verdict, measured), day=day_text(told.args["seen_day"])
    )


def _level(told: RuleDate, verdict: str, measured: Measured) -> str:
    args = told.args
    if "value_mm_s" not in args or "limit_mm_s" not in args:
        return fault_for_owner("vibration", verdict)
    return words(_LIMITS, verdict).format(
        value=measured.text(args["value_mm_s"]), limit=measured.text(args["limit_mm_s"])
    )


def _step(told: RuleDate, measured: Measured) -> str:
    args = told.args
    kind = EVENT_KINDS[int(args.get("event_kind", 0))]
    event = day_text(args["event_day"]) if "event_day" in args else ""
    text = _(
        "The fan vibrates more than before: {value} on {seen} instead of {earlier}{before} The "
        "cause is not determined, so it has to be looked at again."
    ).format(
        value=measured.text(args["value_mm_s"]),
        seen=day_text(args["seen_day"]),
        earlier=measured.text(args["limit_mm_s"]),
        before=words(_JUST_BEFORE, kind if event else "").format(day=event),
    )
    if int(args.get("nth", 0)):
        text += " " + _("It reached the alarm limit and has to be put right.")
    return text


def _trend(told: RuleDate, measured: Measured) -> str:
    args = told.args
    return _(
        "The fan's vibration has been rising over {readings} readings, to about {value} on {seen}. "
        "It may reach the alarm limit of {limit} about {crossing}."
    ).format(
        readings=int(args["readings"]),
        value=measured.text(args["value_mm_s"]),
        seen=day_text(args["seen_day"]),
        limit=measured.text(args["limit_mm_s"]),
        crossing=day_text(args["crossing_day"]),
    )
