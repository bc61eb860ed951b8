"""What waiting costs in sentences that promise no more than is known."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from schedules.due.lines import DueLine
from schedules.due.odds import SHARE
from schedules.due.waiting import AtStake
from schedules.wording.days import day_text, span_text
from schedules.wording.money import money_range, money_text
from schedules.wording.owners.still import found_still_told

DAYS_TOLD = 14
"""A shorter wait is told in days: nobody speaks of 0.43 weeks."""


@dataclass(frozen=True)
class WaitingTold:
    """What waiting may cost, what a lapsed inspection adds, and how both were reckoned.

    The last two may be empty.
    """

    cost: str
    lapsed: str = ""
    reckoned: str = ""


def waiting_told(line: DueLine, stake: AtStake | None, *, for_us: bool = False) -> WaitingTold:
    """Of one fan; of one that does not run no odds, but what that means and what to do.

    How often other owners' fans failed is only told ``for_us``, the company's people.
    """
    if line.must_stand:
        return WaitingTold(
            _("This fan must not run until it is put right: no cooking under its hood.")
        )
    if line.not_running:
        return WaitingTold(not_running_told(line))
    if line.still:
        return WaitingTold(found_still_told(line))
    if stake is None:
        return WaitingTold("")
    return WaitingTold(_cost(line, stake), _lapsed(stake), _reckoned(stake, for_us))


def not_running_told(line: DueLine) -> str:
    """A fan that its kitchen says stands: what that means now, and what to do."""
    row = line.not_running
    if row is None:
        return ""
    return _(
        "Your kitchen said on {day} that it is not running ({who}). Nothing may be cooked under "
        "its hood until it runs again. Do not reset a breaker again and again: call us, and tell "
        "us if it runs by now."
    ).format(day=day_text(row.told_on), who=row.told_by)


def waiting_note(stake: AtStake | None) -> str:
    """In a list, beside the reason: the range alone; empty where there is none."""
    if stake is None or stake.high == 0:
        return ""
    days = round(stake.weeks * 7)
    if days < DAYS_TOLD:
        told = ngettext(
            "Waiting {days} day costs roughly {range} on average.",
            "Waiting {days} days costs roughly {range} on average.",
            days,
        )
    else:
        told = ngettext(
            "Waiting {weeks} week costs roughly {range} on average.",
            "Waiting {weeks} weeks costs roughly {range} on average.",
            1 if stake.weeks == 1 else 2,
        )
    return told.format(
        days=days, weeks=f"{stake.weeks:.2g}", range=money_range(stake.low, stake.high)
    )


def _cost(line: DueLine, stake: AtStake) -> str:
    until = _until(line, stake)
    if stake.high == 0:
        return _("Waiting {until} costs next to nothing by this reckoning.").format(until=until)
    told = _(
        "Waiting {until} costs roughly {range} on average; a failure meanwhile, about {failure}."
    )
    return told.format(
        until=until,
        range=money_range(stake.low, stake.high),
        failure=_failure_cost(stake),
    )


def _failure_cost(stake: AtStake) -> str:
    """Hours closed at their price: the owner's, or marked as our choice."""
    params = stake.params
    told = money_text(params.closed_hours * params.closed_hour_cost)
    names = {"closed_hours", "closed_hour_cost"}.intersection(stake.ours)
    return _ours(told, min(names), stake) if names else told


def _until(line: DueLine, stake: AtStake) -> str:
    if line.booked is not None:
        return _("until the visit on {day}").format(day=day_text(line.booked.day))
    if line.days_left is not None and line.days_left > 0:
        return _("until the next visit falls due")
    # part of a week more than one is plural, in English and in Spanish (CLDR)
    told = ngettext("another {weeks} week", "another {weeks} weeks", 1 if stake.weeks == 1 else 2)
    return told.format(weeks=f"{stake.weeks:g}")


def _lapsed(stake: AtStake) -> str:
    """What a lapsed code inspection is reckoned at, where it has lapsed."""
    if not stake.lapsed_weeks:
        return ""
    price = _ours(money_text(stake.params.lapsed_week_cost), "lapsed_week_cost", stake)
    if stake.never_inspected:
        return _(
            "No code inspection is on record here; if none was made, a week without one is "
            "reckoned at {price}."
        ).format(price=price)
    return ngettext(
        "The code inspection has lapsed for {weeks} week; a week is reckoned at {price}.",
        "The code inspection has lapsed for {weeks} weeks; a week is reckoned at {price}.",
        stake.lapsed_weeks,
    ).format(weeks=stake.lapsed_weeks, price=price)


def _reckoned(stake: AtStake, for_us: bool) -> str:
    """The product, factor by factor, each with what it rests on."""
    params = stake.params
    told = _(
        "Reckoned as a chance of about {chance} of a failure meanwhile ({record}; {law}; {state}), "
        "times the share of failures a visit can prevent ({share}), times {hours}, times {price}. "
        "It is a rough range, not a forecast."
    ).format(
        chance=_percent(stake.chance),
        record=_record(stake),
        law=_law(stake, for_us),
        state=_state(stake, for_us),
        share=_share(stake, for_us),
        hours=_ours(_hours(params.closed_hours), "closed_hours", stake),
        price=_ours(
            _("{price} an hour").format(price=money_text(params.closed_hour_cost)),
            "closed_hour_cost",
            stake,
        ),
    )
    if not stake.lapsed_weeks:
        return told
    insurer = _(
        "What an insurer or the authority makes of a lapsed inspection nobody here can tell."
    )
    return f"{told} {insurer}"


def _percent(share: float) -> str:
    return f"{share * 100:.1f} %" if share < 0.1 else f"{share * 100:.0f} %"


def _record(stake: AtStake) -> str:
    known = stake.known
    if not (known.losses or known.years):
        return _("nothing tells yet how often it fails")
    some = ngettext(
        "watched for {span}, it failed on {failures} day",
        "watched for {span}, it failed on {failures} days",
        known.losses,
    )
    told = some if known.losses else _("watched for {span}, it did not fail")
    return told.format(failures=known.losses, span=span_text(known.years))


def _law(stake: AtStake, for_us: bool) -> str:
    known = stake.known
    if not known.class_fans:
        told = _("{rate} a year are usual, our choice")
    elif not for_us:
        told = _("{rate} a year are usual for fans of its drive on record")
    else:
        told = _("{rate} a year are usual for the {fans} fans of its drive on record")
    told = told.format(rate=f"{known.mean_a_year:.2g}", fans=known.class_fans)
    if known.shape <= stake.params.prior_shape:
        return told
    return told + _(", the range allowing that they differ more than that record shows")


def _state(stake: AtStake, for_us: bool) -> str:
    """The factor for what stands open, and whether this fleet taught it."""
    row = stake.figures.learned.get(stake.known.state)
    if row is None:
        basis = _("our choice")
    elif not for_us:
        basis = _("as failures on record tell, drawn towards our choice")
    else:
        basis = _(
            "{seen} failures in this fleet where {of} were to be expected, drawn towards our choice"
        ).format(seen=f"{row.seen:g}", of=f"{row.of:.1f}")
    told = _("times {factor} because {state}, {basis}")
    return told.format(factor=f"{stake.factor:.2g}", state=_open(stake.known.state), basis=basis)


def _open(state: str) -> str:
    return {
        "nothing": _("nothing stands open on it"),
        "watch": _("something on it is to be watched"),
        "act": _("something on it is to be acted on"),
        "shaking_watch": _("its vibration is to be watched"),
        "shaking_act": _("its vibration is to be acted on"),
    }[state]


def _share(stake: AtStake, for_us: bool) -> str:
    row = stake.figures.learned.get(SHARE)
    share = f"{stake.params.preventable_share * 100:.0f} %"
    if row is None:
        return _("{share}, our choice").format(share=share)
    if not for_us:
        return _("{share}, as failures on record tell, drawn towards our choice").format(
            share=share
        )
    return _(
        "{share}: {seen} of the {of} failures in this fleet of which enough is on record to tell, "
        "drawn towards our choice"
    ).format(share=share, seen=f"{row.seen:g}", of=f"{row.of:g}")


def _hours(hours: float) -> str:
    told = ngettext("{hours} hour closed", "{hours} hours closed", 1 if hours == 1 else 2)
    return told.format(hours=f"{hours:g}")


def _ours(text: str, name: str, stake: AtStake) -> str:
    return _("{figure} (our choice)").format(figure=text) if name in stake.ours else text
