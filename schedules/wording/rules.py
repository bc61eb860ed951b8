"""Each rule's date as a sentence: what it rests on, in figures with units and local days."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from fleet.quantities import GREASE_PLACES
from fleet.units import convert
from schedules.due.evidence import VERDICT_NAMES
from schedules.engine import after_event
from schedules.engine.codes import CONDITIONS, COOKING, SUBJECTS
from schedules.engine.hour_meter import PARTLY, SET_ASIDE, USED
from schedules.engine.record import RuleDate
from schedules.wording.days import day_text
from schedules.wording.odds import odds_sentence
from schedules.wording.vibration import AS_STORED, Measured, vibration_sentence
from visits.wording import PLACES, VERDICTS, figure, number_text, subject_words, words
from visits.wording.figures import two_digits
from visits.wording.names import Words, upper_first

RULE_NAMES: Words = {
    "1": gettext_lazy("walk-through"),
    "2": gettext_lazy("code inspection"),
    "3": gettext_lazy("running hours"),
    "4": gettext_lazy("grease"),
    "5": gettext_lazy("vibration"),
    "6": gettext_lazy("open finding"),
    "7": gettext_lazy("look after an event"),
    "8": gettext_lazy("failure odds"),
    "9": gettext_lazy("restart"),
}
CONDITION_WORDS: Words = {
    "poor": gettext_lazy("poor condition"),
    "average": gettext_lazy("average condition"),
    "good": gettext_lazy("good condition"),
}
COOKING_WORDS: Words = {
    "solid_fuel": gettext_lazy("solid fuel"),
    "high": gettext_lazy("high-volume cooking"),
    "moderate": gettext_lazy("moderate cooking"),
    "low": gettext_lazy("low-volume cooking"),
    "unknown": gettext_lazy("cooking not on record"),
}


def rule_name(number: int) -> str:
    """What a rule is called in lists: ``walk-through``."""
    return words(RULE_NAMES, str(number))


def rule_sentence(told: RuleDate, seen: str = "", measured: Measured = AS_STORED) -> str:
    """Why a rule gives its date.

    ``seen`` is the sentence of the reading behind an open finding or a vibration, ``measured`` how
    the latter was typed, where the caller has them.
    """
    if told.rule == 5:
        return vibration_sentence(told, seen, measured)
    if told.rule == 6:
        return _finding(told, seen)
    return _SENTENCES[told.rule](told)


def every_months(months: float) -> str:
    """An interval in words: ``every 2 months``, ``every half month``."""
    if months == 0.5:
        return _("every half month")
    if months == 1:
        return _("every month")
    return _("every {months} months").format(months=number_text(months))


def _walk_through(told: RuleDate) -> str:
    args = told.args
    if told.why == "never_seen":
        return _("Walk-through: no complete one on record yet.")
    interval = every_months(args["months"])
    condition = words(CONDITION_WORDS, CONDITIONS[int(args["condition"])])
    last = day_text(args["last_day"])
    if told.why == "after_expected_cleaning":
        return _(
            "Walk-through: last complete one {last}; {condition}, {interval}. It waits for the "
            "expected hood cleaning, so not before {day}."
        ).format(
            last=last,
            condition=condition,
            interval=interval,
            day=day_text(args["not_before_day"]),
        )
    return _("Walk-through: last complete one {last}; {condition}, {interval}.").format(
        last=last, condition=condition, interval=interval
    )


def _inspection(told: RuleDate) -> str:
    args = told.args
    cooking = words(COOKING_WORDS, COOKING[int(args["class"])])
    interval = every_months(args["months"])
    if told.why == "never_inspected":
        return _(
            "Code inspection: none by a qualified person on record ({cooking}: {interval})."
        ).format(cooking=cooking, interval=interval)
    return _("Code inspection: {cooking}, {interval}, counted from {anchor}.").format(
        cooking=cooking, interval=interval, anchor=day_text(args["anchor_day"])
    )


_INTERVAL_FROM: Words = {
    "maker_interval": gettext_lazy("the maker's interval"),
    "bearing_interval": gettext_lazy("by bearing and speed"),
    "frame_interval": gettext_lazy("by motor frame, severe duty"),
}

_BY_METER = {
    USED: gettext_lazy("; by the meter {hours} had run on {day}."),
    PARTLY: gettext_lazy(
        "; by the meter, and the kitchen's hours outside its readings, {hours} had run on {day}."
    ),
}


def _hours(told: RuleDate) -> str:
    args = told.args
    sentence = _("Bearings: regrease every {interval} of running ({source}), counted from {day}")
    if args.get("never_done"):
        sentence = _(
            "Bearings: regrease every {interval} of running ({source}); never on record, so "
            "counted from {day}"
        )
    text = sentence.format(
        interval=figure(round(args["interval_h"]), "h"),
        source=words(_INTERVAL_FROM, told.why),
        day=day_text(args["done_day"]),
    )
    by_meter = _BY_METER.get(int(args.get("meter", 0)))
    if by_meter:
        return text + by_meter.format(
            hours=figure(round(args["known_hours"]), "h"), day=day_text(args["known_day"])
        )
    if args.get("meter") == SET_ASIDE:
        return text + _(". The hour meter does not fit the kitchen's hours and is set aside.")
    return text + _(" by the kitchen's hours.")


_GREASE_BY: Words = {
    "one_reading": gettext_lazy("by one reading since the cleaning"),
    "line": gettext_lazy("by the line through the readings"),
    "upper_slope": gettext_lazy("by the line through the readings, taken steep to be careful"),
    "last_two": gettext_lazy("by the last two readings"),
}


def _grease(told: RuleDate) -> str:
    args = told.args
    if told.why == "at_limit":
        sentence = _(
            "Grease in the {place}: {depth} on {day}, at or over the limit of {limit}; "
            "it needs cleaning."
        )
    else:
        sentence = _(
            "Grease in the {place}: {depth} on {day}, growing about {slope} a day ({by}); so it "
            "would reach {limit} about {crossing}: have it cleaned before then."
        )
    return sentence.format(
        place=words(PLACES, GREASE_PLACES[int(args["place"])]),
        depth=depth_text(args["last_depth_um"]),
        day=day_text(args["last_day"]),
        limit=depth_text(args["limit_um"]),
        slope=figure(two_digits(args.get("slope_um_d", 0.0)), "um"),
        by=words(_GREASE_BY, told.why),
        crossing=day_text(args["crossing_day"]),
    )


def depth_text(depth_um: float) -> str:
    """A depth of grease as combs are marked: ``1900 µm (0.075 in)``."""
    inches = number_text(round(convert(depth_um, "um", "in"), 3))
    return f"{figure(round(depth_um), 'um')} ({inches} in)"


_FINDING: Words = {
    "open": gettext_lazy("{seen} Last seen {day}; look at it again."),
    "act": gettext_lazy("{seen} Last seen {day}; put it right, or look at it again."),
    "stop": gettext_lazy(
        "{seen} Found {day}: repair it or make the fan safe. A stopped fan means cooking stops."
    ),
    "temporary": gettext_lazy(
        "When found: {seen} Repaired for the time being; a lasting repair is owed."
    ),
    "own_date": gettext_lazy("{seen} Last seen {day}; a day of its own was set for the next look."),
}


def finding_name(told: RuleDate) -> str:
    """What an open finding or a vibration is about: ``Hinge``."""
    subject = SUBJECTS[int(told.args["subject"])] if told.rule == 6 else "vibration"
    return upper_first(subject_words(subject)) if subject else _("A finding")


def _finding(told: RuleDate, seen: str) -> str:
    """An open finding; a stop says what must happen whatever date was set."""
    args = told.args
    verdict = VERDICT_NAMES[int(args["verdict"])]
    seen = seen or f"{finding_name(told)}: {words(VERDICTS, verdict)}."
    stop = verdict == "stop"
    code = verdict if told.why == "open" and verdict in ("act", "stop") else told.why
    text = words(_FINDING, code).format(seen=seen, day=day_text(args["seen_day"]))
    if stop and told.why == "own_date":
        text += " " + _("Until it is repaired or made safe the verdict is stop.")
    if args.get("declined"):
        text += " " + _(
            "The owner declined the repair: the fault stands, looks come half as often."
        )
    more = int(args.get("open_count", 1)) - 1
    if more:
        text += " " + ngettext(
            "One more finding is open.", "{count} more findings are open.", more
        ).format(count=more)
    return text


_EVENT: Words = {
    "hood_cleaning": gettext_lazy("A look after the hood cleaning of {day}."),
    "storm": gettext_lazy("A look after the storm of {day}."),
    "power_event": gettext_lazy("A look after the power event of {day}."),
    "new_belt": gettext_lazy(
        "New belt on {day}: check its tension after the first 24 running hours."
    ),
    "new_belt_blind": gettext_lazy(
        "New belt on {day}: check its tension within days; running hours are not on record."
    ),
    "start_up": gettext_lazy("Machine replaced on {day}: start-up check."),
    "after_start_up": gettext_lazy(
        "Machine replaced on {day}: second look after a month's running."
    ),
}
_OWED: Words = {
    "hood_cleaning": gettext_lazy("a look after the hood cleaning of {day}"),
    "storm": gettext_lazy("a look after the storm of {day}"),
    "power_event": gettext_lazy("a look after the power event of {day}"),
    "new_belt": gettext_lazy("a look at the new belt of {day}"),
    "start_up": gettext_lazy("a start-up check of the machine of {day}"),
    "after_start_up": gettext_lazy("a second look at the machine of {day}"),
}


def _event(told: RuleDate) -> str:
    blind = told.why == "new_belt" and not told.args.get("by_hours")
    sentence = words(_EVENT, "new_belt_blind" if blind else told.why)
    text = sentence.format(day=day_text(told.args["event_day"]))
    return f"{text} {_also_owed(told.args)}" if "next_kind" in told.args else text


def _also_owed(args: Mapping[str, float]) -> str:
    """Looks that the one told does not settle."""
    look = words(_OWED, after_event.whys[int(args["next_kind"])])
    text = _("Also owed, by {due}: {look}.").format(
        due=day_text(args["next_due_day"]), look=look.format(day=day_text(args["next_day"]))
    )
    more = int(args["owed_count"]) - 2
    if more > 0:
        text += " " + ngettext(
            "One more such look is owed.", "{count} more such looks are owed.", more
        ).format(count=more)
    return text


def _restart(told: RuleDate) -> str:
    made_safe = day_text(told.args["made_safe_day"])
    if told.why == "promised":
        return _(
            "Out of service since {day}; restart promised for {promised}. A full walk-through "
            "before it runs."
        ).format(day=made_safe, promised=day_text(told.args["promised_day"]))
    return _(
        "Out of service since {day}, no restart promised: ask. A full walk-through before it runs."
    ).format(day=made_safe)


_SENTENCES: dict[int, Callable[[RuleDate], str]] = {
    1: _walk_through,
    2: _inspection,
    3: _hours,
    4: _grease,
    7: _event,
    8: odds_sentence,
    9: _restart,
}
