"""Rule 8 as a sentence: how often a fan failed, how often its like do, what that comes to."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from schedules.engine.record import RuleDate
from schedules.wording.days import day_text, span_text
from visits.wording import number_text, words
from visits.wording.figures import two_digits
from visits.wording.names import Words

HARDLY_RAISED, OFTEN = 1.25, 1.5
"""Own failures raise the usual rate to no more than so many times it, though they come more often
than so many times as usual; our choice."""
_PRIOR: Words = {
    "assumed_prior": gettext_lazy(
        "Together with {prior} a year, assumed since too few fans of its drive are on record (our "
        "choice), that makes about {rate} a year"
    ),
    "fitted_prior": gettext_lazy(
        "Together with the fans of its drive on record, {prior} a year, that makes about {rate} a "
        "year"
    ),
}


def odds_sentence(told: RuleDate) -> str:
    """What failed, how often its like do, when the odds reach what is waited for."""
    args = told.args
    losses = round(args["losses"])
    text = ngettext(
        "Failure odds: {losses} loss of function in {span} on record.",
        "Failure odds: {losses} losses of function in {span} on record.",
        losses,
    ).format(losses=losses, span=span_text(args["watched_years"]))
    text += " " + words(_PRIOR, told.why).format(
        prior=number_text(two_digits(args["prior_a_year"])),
        rate=number_text(two_digits(args["rate_a_year"])),
    )
    text += _(
        ", {share} % of them such as a visit can prevent. The odds of one of these reach {odds} % "
        "after {days} days, counted from the last complete walk-through, {walked}"
    ).format(
        share=number_text(args["share"] * 100),
        odds=number_text(args["odds"] * 100),
        days=round(args["days"]),
        walked=day_text(args["walked_day"]),
    )
    return text + _bound(args["wait_days"], args["days"]) + _alike(args)


def _alike(args: Mapping[str, float]) -> str:
    """Said where a fan fails more often than its like and yet is reckoned hardly worse."""
    usual, years = args["prior_a_year"], args["watched_years"]
    if args["rate_a_year"] > HARDLY_RAISED * usual or args["losses"] <= OFTEN * usual * years:
        return ""
    return " " + _(
        "As far as the fleet's record shows, fans of its drive fail alike, so that a few failures "
        "hardly raise this; it does not show that nothing ails this one."
    )


def _bound(wait_days: float, days: float) -> str:
    """How what was reckoned gave way to the shortest wait or the usual interval."""
    if wait_days == days:
        return "."
    at_least = _("; {wait} days are left between two all the same.")
    at_most = _("; the walk-through's own interval of {wait} days ends before.")
    return (at_least if wait_days > days else at_most).format(wait=round(wait_days))
