"""What vibration asks for in sentences: the level reached, the step seen, the trend that runs."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.units import convert
from schedules.due.evidence import VERDICT_NAMES
from schedules.engine.record import RuleDate
from schedules.engine.vibration import POINTS
from schedules.engine.vibration_series import FELT
from schedules.engine.vibration_step import EVENT_KINDS
from schedules.wording.days import day_text
from visits.wording import PLACES, VERDICTS, figure, words
from visits.wording.names import DETECTORS, Words

LEVELS: Words = {
    "watch": gettext_lazy("{seen} Read {day}; look at it once more."),
    "act": gettext_lazy("{seen} Read {day}; look again, and have it repaired."),
    "act_again": gettext_lazy(
        "{seen} First read {day} and standing since: look number {nth}; the repair is owed."
    ),
    "stop": gettext_lazy(
        "{seen} Read {day}: repair it or make the fan safe. A stopped fan means cooking stops."
    ),
}
LIMITS: Words = {
    "watch": gettext_lazy(
        "{what}: {value}, at or above {limit}, the most for one just started up."
    ),
    "act": gettext_lazy("{what}: {value}, at or above the alarm, {limit}."),
    "stop": gettext_lazy("{what}: {value}, at or above {limit}, where a fan is shut down."),
}
JUST_BEFORE: Words = {
    "": gettext_lazy(". Look again."),
    "hood_cleaning": gettext_lazy(
        ", after the hood cleaning of {day}. Look again; the cause is not determined."
    ),
    "hood_cleaning_tipped": gettext_lazy(
        ", after the hood cleaning of {day}, for which the fan was tipped. Look again, first at "
        "how it sits, its gap and its wheel; the cause is not determined."
    ),
    "storm": gettext_lazy(", after the storm of {day}. Look again; the cause is not determined."),
    "power_event": gettext_lazy(
        ", after the power event of {day}. Look again; the cause is not determined."
    ),
    "kitchen_change": gettext_lazy(
        ", after the kitchen was changed on {day}. Look again; the cause is not determined."
    ),
}
REPAIR: Words = {
    "": gettext_lazy("{step}"),
    "put": gettext_lazy("{step} It reached the alarm: have it repaired."),
    "owed": gettext_lazy("{step} It reached the alarm before: the repair is owed."),
}
"""What an act whose look falls on the step's day asks for beside it."""


@dataclass(frozen=True)
class Measured:
    """How the readings were typed: their unit, and ``rms`` or ``peak`` where it is known."""

    unit: str = "mm/s"
    detector: str = ""

    def text(self, value_mm_s: float) -> str:
        """A velocity in that unit with its detector."""
        value = round(convert(value_mm_s, "mm/s", self.unit), 3 if self.unit == "in/s" else 2)
        return f"{figure(value, self.unit)} {words(DETECTORS, self.detector)}".rstrip()


AS_STORED = Measured()


def vibration_sentence(told: RuleDate, seen: str = "", measured: Measured = AS_STORED) -> str:
    """Why vibration gives its date; an event is named as what came before, never as the cause."""
    if told.why == "step":
        return _step(told, measured)
    if told.why == "trend":
        return _trend(told, measured)
    args = told.args
    verdict = VERDICT_NAMES[int(args["verdict"])]
    nth = int(args.get("nth", 1))
    code = "act_again" if verdict == "act" and nth > 1 else verdict
    return words(LEVELS, code).format(
        seen=seen or _level(told, verdict, measured), day=day_text(args["seen_day"]), nth=nth
    )


def point_text(code: float) -> str:
    """Where it was measured: ``motor, radial``; by hand for a grade felt."""
    point = POINTS[int(code)] if code < len(POINTS) else ""
    if point == FELT:
        return _("by hand")
    return words(PLACES, point) if point else _("elsewhere")


def _level(told: RuleDate, verdict: str, measured: Measured) -> str:
    args = told.args
    what = _("Vibration ({point})").format(point=point_text(args["point"]))
    if "value_mm_s" not in args or "limit_mm_s" not in args:
        return f"{what}: {words(VERDICTS, verdict)}."
    return words(LIMITS, verdict).format(
        what=what,
        value=measured.text(args["value_mm_s"]),
        limit=measured.text(args["limit_mm_s"]),
    )


def _step(told: RuleDate, measured: Measured) -> str:
    args = told.args
    kind = EVENT_KINDS[int(args.get("event_kind", 0))]
    text = _("Vibration ({point}) stepped up from {earlier} to {value} on {seen}{before}")
    event = day_text(args["event_day"]) if "event_day" in args else ""
    before = words(JUST_BEFORE, kind if event else "")
    step = text.format(
        point=point_text(args["point"]),
        earlier=measured.text(args["limit_mm_s"]),
        value=measured.text(args["value_mm_s"]),
        seen=day_text(args["seen_day"]),
        before=before.format(day=event),
    )
    nth = int(args.get("nth", 0))
    return words(REPAIR, "owed" if nth > 1 else "put" if nth else "").format(step=step)


def _trend(told: RuleDate, measured: Measured) -> str:
    args = told.args
    return _(
        "Vibration ({point}) rises over {readings} readings: about {value} on {seen}, up to "
        "{slope} more a month; so it could reach the alarm, {limit}, about {crossing}."
    ).format(
        point=point_text(args["point"]),
        readings=int(args["readings"]),
        value=measured.text(args["value_mm_s"]),
        seen=day_text(args["seen_day"]),
        slope=measured.text(args["slope_mm_s_d"] * 30),
        limit=measured.text(args["limit_mm_s"]),
        crossing=day_text(args["crossing_day"]),
    )
