"""Keep or replace in sentences that promise nothing."""

from __future__ import annotations

from math import inf, isfinite

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from schedules.engine.keeping import DIFFERING, Cost
from schedules.fan_page.keeping import Keeping
from schedules.wording.days import span_text
from schedules.wording.money import money_text

LEAST_AGE_YEARS = 1
"""Best replaced sooner than that only by prices that somebody mistyped; our choice."""
LEAST_YEARS = 0.25
"""Watched for less, no upper limit of failures a year is worth a sentence; our choice."""


def keeping_text(keeping: Keeping) -> str:
    """Which way it leans and how sure that is, or why it cannot be told."""
    found = keeping.found
    if found.leaning == "no_age":
        return _(
            "Cannot tell whether to keep or replace it: since when this machine is here is not on "
            "record."
        )
    if not keeping.params.failure_cost:
        return _(
            "Cannot tell whether to keep or replace it: by the prices entered for this site a "
            "failure costs nothing."
        )
    if found.leaning == "no_failures" or found.keep is None:
        return _no_failures(keeping)
    both = _("Keeping it another year costs about {keep}, a new one about {new} a year in time.")
    told = both.format(keep=_cost(found.keep), new=_money(found.replace.expected))
    ours = _("Prices that nobody entered for this site are our choice.") if keeping.ours else ""
    return " ".join(filter(None, [told, _LEANINGS[found.leaning](), ours]))


_LEANINGS = {
    "replace": lambda: _(
        "By this reckoning replacing it looks cheaper, if what made it fail goes with it: a cause "
        "in supply, switch or surroundings stays. What a look at it says counts more."
    ),
    "keep": lambda: _(
        "By this reckoning keeping it looks cheaper. What a look at it says counts more."
    ),
    "unsure": lambda: _(
        "Which is cheaper cannot be told: they lie too near each other, or its record is too short."
    ),
}


def _no_failures(keeping: Keeping) -> str:
    upper = keeping.found.upper_a_year
    if keeping.position.years < LEAST_YEARS and isfinite(upper):
        return _(
            "Cannot tell yet whether to keep or replace it: this machine has been watched for too "
            "short a time."
        )
    if not isfinite(upper):
        return _("Cannot tell yet whether to keep or replace it: nobody has watched this machine.")
    told = _(
        "Cannot tell yet whether to keep or replace it: no failure of its own parts in {span} "
        "watched; at most {upper} a year (95 %)."
    ).format(span=span_text(keeping.position.years), upper=f"{upper:.2g}")
    if not keeping.left_out:
        return told
    # Else it reads as if what keeps failing above on the page had not failed.
    apart = ngettext(
        "{count} failure was of a part that stays when the machine goes.",
        "{count} failures were of parts that stay when the machine goes.",
        keeping.left_out,
    )
    return f"{told} {apart.format(count=keeping.left_out)}"


def keeping_reckoned(keeping: Keeping, *, for_us: bool) -> str:
    """Figure by figure, each with what it rests on; empty where nothing could be reckoned.

    How many fans and machines of others it rests on is only told ``for_us``, the company's people.
    """
    found, position, params = keeping.found, keeping.position, keeping.params
    if found.keep is None or position.age_years is None:
        return ""
    if not (position.years or position.failures):
        return ""
    told = [_rate(keeping, for_us), _prices(keeping)]
    told.append(
        _(
            "It is {age} old; the risk that it ends within a year goes by a Weibull law of "
            "shape {shape} and {scale} years ({basis})."
        ).format(
            age=span_text(position.age_years),
            shape=f"{params.life_shape:g}",
            scale=f"{params.life_scale_years:g}",
            basis=_basis(keeping, for_us),
        )
    )
    if LEAST_AGE_YEARS <= found.best_age_years < inf:
        best = _("By age alone such a machine is cheapest to replace at about {age} years.")
        told.append(best.format(age=f"{found.best_age_years:.0f}"))
    if position.shape > DIFFERING:
        told.append(_("The limits allow that fans differ more than the fleet's record shows."))
    told.append(_("Visits cost the same either way. A rough reckoning, not a forecast."))
    return " ".join(told)


def _rate(keeping: Keeping, for_us: bool) -> str:
    position, known = keeping.position, keeping.known
    told = ngettext(
        "{failures} failure of its own parts in {span} watched, beside {usual} a year that "
        "are usual ({law}), makes {rate} a year.",
        "{failures} failures of its own parts in {span} watched, beside {usual} a year that "
        "are usual ({law}), make {rate} a year.",
        position.failures,
    ).format(
        failures=position.failures,
        span=span_text(position.years),
        usual=f"{position.mean_a_year:.2g}",
        law=_law(known.class_fans, for_us),
        rate=f"{_own_rate(keeping):.2g}",
    )
    if not keeping.left_out:
        return told
    apart = ngettext(
        "{count} more was of a part that stays when the machine goes.",
        "{count} more were of parts that stay when the machine goes.",
        keeping.left_out,
    )
    return f"{told} {apart.format(count=keeping.left_out)}"


def _law(fans: int, for_us: bool) -> str:
    if not fans:
        return _("our choice")
    return _("{fans} fans of its drive").format(fans=fans) if for_us else _("fans of its drive")


def _own_rate(keeping: Keeping) -> float:
    position = keeping.position
    years = position.shape / position.mean_a_year + position.years
    return (position.shape + position.failures) / years


def _prices(keeping: Keeping) -> str:
    params = keeping.params
    return _(
        "A failure is reckoned at {repair} for the repair and {hours} h closed at {price} an hour, "
        "a new machine at {new}{ours}."
    ).format(
        repair=_money(params.repair_cost),
        hours=f"{params.closed_hours:g}",
        price=_money(params.closed_hour_cost),
        new=_money(params.replacement_cost),
        ours=_(" (what nobody entered for this site is our choice)") if keeping.ours else "",
    )


def _basis(keeping: Keeping, for_us: bool) -> str:
    row = keeping.figures.learned.get("life_scale_years")
    if row is None:
        return _("our choice")
    if not for_us:
        return _("from machines of this fleet")
    return _("from {lives} machines of this fleet, {ended} of them replaced").format(
        lives=f"{row.of:g}", ended=f"{row.seen:g}"
    )


def _cost(cost: Cost) -> str:
    return _("{expected} (95 %: {low} to {high})").format(
        expected=_money(cost.expected),
        low=f"{_round(cost.lower):,}",
        high=f"{_round(cost.upper):,}",
    )


def _money(amount: float) -> str:
    return money_text(_round(amount))


def _round(amount: float) -> int:
    """To two figures: nobody knows more."""
    return int(float(f"{amount:.2g}"))
