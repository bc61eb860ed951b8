"""Each rule's date as a sentence for the owner: limits with their figures, causes hedged."""

from __future__ import annotations

from collections.abc import Callable

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from fleet.quantities import GREASE_PLACES
from schedules.due.evidence import VERDICT_NAMES, Evidence
from schedules.due.grounds import LeftOut, Monthly
from schedules.engine.codes import COOKING, SUBJECTS
from schedules.engine.record import RuleDate
from schedules.wording.days import day_text, span_text
from schedules.wording.owners.vibration import vibration_told
from schedules.wording.rules import COOKING_WORDS, depth_text, every_months
from schedules.wording.seen import MONTHLY_FOR
from schedules.wording.vibration import AS_STORED, Measured
from visits.limits import Judgement
from visits.wording import PLACES, fault_for_owner, figure, number_text, owner_sentence, words
from visits.wording.names import Words


def told_to_owner(told: RuleDate, seen: Evidence | None = None) -> str:
    """Why a rule asks for a visit, with what ``schedules.due.evidence`` found behind it."""
    if told.rule == 5:
        return vibration_told(told, seen_by_owner(seen), _measured(seen))
    if told.rule == 6:
        return _finding(told, seen_by_owner(seen))
    text = _SENTENCES[told.rule](told)
    if isinstance(seen, Monthly):
        reasons = ", ".join(words(MONTHLY_FOR, each) for each in seen.reasons)
        text += " " + _("That often because of: {reasons}.").format(reasons=reasons)
    if isinstance(seen, LeftOut):
        text += " " + _("On {day} not all of it could be seen.").format(day=day_text(seen.on))
    return text


def seen_by_owner(seen: Evidence | None) -> str:
    """What was read or found; a note that a colleague wrote is not quoted, only what it is about.

    Empty where nothing of the kind stands behind a date.
    """
    if seen is None or isinstance(seen, Monthly | LeftOut):
        return ""
    if isinstance(seen, Judgement):
        return owner_sentence(seen)
    return fault_for_owner(seen.subject or seen.item, seen.verdict)


def _measured(seen: Evidence | None) -> Measured:
    if isinstance(seen, Judgement) and seen.unit:
        return Measured(seen.unit, seen.args.get("detector") or "")
    return AS_STORED


def _walk_through(told: RuleDate) -> str:
    args = told.args
    if told.why == "never_seen":
        return _("We have no complete inspection of this fan on record yet.")
    text = _(
        "Last inspected completely on {last}; in its condition an inspection is due {interval}."
    ).format(last=day_text(args["last_day"]), interval=every_months(args["months"]))
    if told.why == "after_expected_cleaning":
        text += " " + _("It waited for the hood cleaning that was expected.")
    return text


def _inspection(told: RuleDate) -> str:
    args = told.args
    cooking = words(COOKING_WORDS, COOKING[int(args["class"])])
    interval = every_months(args["months"])
    if told.why == "never_inspected":
        return _(
            "Fire codes ask for a grease inspection by a qualified person, here {interval} "
            "({cooking}); none is on record."
        ).format(interval=interval, cooking=cooking)
    return _(
        "Fire codes ask for a grease inspection by a qualified person, here {interval} "
        "({cooking}), counted from {anchor}."
    ).format(interval=interval, cooking=cooking, anchor=day_text(args["anchor_day"]))


def _hours(told: RuleDate) -> str:
    args = told.args
    sentence = _("The fan's bearings need grease after every {interval} of running, last on {day}.")
    if args.get("never_done"):
        sentence = _(
            "The fan's bearings need grease after every {interval} of running; no greasing is on "
            "record since {day}."
        )
    return sentence.format(
        interval=figure(round(args["interval_h"]), "h"), day=day_text(args["done_day"])
    )


def _grease(told: RuleDate) -> str:
    args = told.args
    if told.why == "at_limit":
        sentence = _(
            "Grease in the {place} was {depth} deep on {day}, at or over the limit of {limit}: it "
            "must be cleaned. Grease there can feed a fire."
        )
    else:
        sentence = _(
            "Grease in the {place} was {depth} deep on {day}. At the pace measured it may reach "
            "the limit of {limit} about {crossing}; it has to be cleaned before then."
        )
    return sentence.format(
        place=words(PLACES, GREASE_PLACES[int(args["place"])]),
        depth=depth_text(args["last_depth_um"]),
        day=day_text(args["last_day"]),
        limit=depth_text(args["limit_um"]),
        crossing=day_text(args["crossing_day"]),
    )


_FINDING: Words = {
    "open": gettext_lazy("{seen} Seen {day}; it is time to look at it again."),
    "act": gettext_lazy("{seen} Seen {day}; it has to be put right."),
    "stop": gettext_lazy(
        "{seen} Found {day}: the fan must not run until qualified people have put it right."
    ),
    "temporary": gettext_lazy(
        "When found on {day}: {seen} It was then repaired for the time being; a lasting repair is "
        "still to be made."
    ),
    "own_date": gettext_lazy("{seen} Seen {day}; by now it was to be looked at again."),
}


def _finding(told: RuleDate, seen: str) -> str:
    args = told.args
    verdict = VERDICT_NAMES[int(args["verdict"])]
    seen = seen or fault_for_owner(SUBJECTS[int(args["subject"])] or "machine", verdict)
    asked = "stop" if verdict == "stop" and told.why != "temporary" else told.why
    code = "act" if told.why == "open" and verdict == "act" else asked
    text = words(_FINDING, code).format(seen=seen, day=day_text(args["seen_day"]))
    if args.get("declined"):
        text += " " + _("You declined the repair, so the fault stands; we look half as often.")
    more = int(args.get("open_count", 1)) - 1
    if more:
        text += " " + ngettext(
            "One more fault is open.", "{count} more faults are open.", more
        ).format(count=more)
    return text


_EVENT: Words = {
    "hood_cleaning": gettext_lazy(
        "After the hood cleaning of {day} somebody has to see that the fan was left in order."
    ),
    "storm": gettext_lazy(
        "After the storm of {day} somebody has to see that the fan came through it."
    ),
    "power_event": gettext_lazy(
        "After the trouble with the power on {day} somebody has to see that the fan came through."
    ),
    "new_belt": gettext_lazy(
        "A new belt was put on on {day}; it stretches at first, so its tension has to be checked."
    ),
    "start_up": gettext_lazy("The fan was replaced on {day}; its first check is still to be made."),
    "after_start_up": gettext_lazy(
        "The fan was replaced on {day}; after a month's running it has to be seen again."
    ),
}


def _event(told: RuleDate) -> str:
    return words(_EVENT, told.why).format(day=day_text(told.args["event_day"]))


def _odds(told: RuleDate) -> str:
    args = told.args
    losses = round(args["losses"])
    text = ngettext(
        "This fan has failed {losses} time in {span} on record.",
        "This fan has failed {losses} times in {span} on record.",
        losses,
    ).format(losses=losses, span=span_text(args["watched_years"]))
    sooner = _(
        "So it is inspected sooner than usual, when the odds of a failure that an inspection can "
        "prevent reach about {odds} % (our choice; an estimate, not a forecast)."
    )
    usual = _(
        "By our estimate the odds of a failure that an inspection can prevent stay below {odds} % "
        "(our choice) within its usual interval."
    )
    text += " " + (usual if args["wait_days"] < args["days"] else sooner).format(
        odds=number_text(args["odds"] * 100)
    )
    return (
        text
        + " "
        + _("Last inspected completely on {last}.").format(last=day_text(args["walked_day"]))
    )


def _restart(told: RuleDate) -> str:
    since = day_text(told.args["made_safe_day"])
    if told.why == "promised":
        return _(
            "Out of service since {day}; its restart was promised for {promised}. Before it runs "
            "again it is inspected completely."
        ).format(day=since, promised=day_text(told.args["promised_day"]))
    return _(
        "Out of service since {day}, and no day is set for its restart. Before it runs again it is "
        "inspected completely."
    ).format(day=since)


_SENTENCES: dict[int, Callable[[RuleDate], str]] = {
    1: _walk_through,
    2: _inspection,
    3: _hours,
    4: _grease,
    7: _event,
    8: _odds,
    9: _restart,
}
