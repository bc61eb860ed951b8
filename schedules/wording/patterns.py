"""What keeps failing in words: how often, against what, and never more than the record shows."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from math import ceil, floor

from dateutil.relativedelta import relativedelta
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from schedules.due.advised import Failed
from schedules.models import Pattern, PatternClosing
from schedules.patterns.course import Course
from schedules.patterns.tipping import Crew, Step
from schedules.wording.causes import cause_text
from schedules.wording.days import day_text, span_text
from visits.wording import ANSWERS, ITEMS, VERDICTS, subject_words, words
from visits.wording.names import Words, upper_first

STATES: Words = {
    "open": gettext_lazy("open"), "closed": gettext_lazy("closed"),
    "lapsed": gettext_lazy("no longer holds"),
}  # fmt: skip


MOST_MONTHS = 24
"""More are told in years."""
MANY_YEARS = 10
"""Fewer fan-years are told with a decimal."""


def months_over(first: date, last: date) -> int:
    """The least number of months that holds both days."""
    months = 1
    while first + relativedelta(months=months) < last:
        months += 1
    return months


def times_text(count: int) -> str:
    """``twice``, ``5 times``."""
    return _("twice") if count == 2 else _("{count} times").format(count=count)


def item_name(pattern: Pattern) -> str:
    """The item, as a heading begins."""
    return upper_first(words(ITEMS, pattern.item))


def often_text(pattern: Pattern) -> str:
    """How often within how long, and why that is no chance."""
    told = _often(pattern)
    if pattern.by_rate:
        return _("{told}: more often than chance would leave").format(told=told)
    if pattern.failures == 2:
        return _("{told}: the same item again within a year").format(told=told)
    soon = _soon(pattern)
    return _("{told}, two of them {soon} apart").format(told=told, soon=soon)


def _often(pattern: Pattern) -> str:
    months, times = months_over(pattern.first_on, pattern.last_on), times_text(pattern.failures)
    if months > MOST_MONTHS:
        years = f"{(pattern.last_on - pattern.first_on).days / 365.25:.1f}"
        return _("failed {times} in {years} years").format(times=times, years=years)
    return ngettext(
        "failed {times} within a month", "failed {times} in {months} months", months
    ).format(times=times, months=months)


def _soon(pattern: Pattern) -> str:
    days = pattern.closest_days
    return ngettext("{days} day", "{days} days", days).format(days=days)


def pattern_text(pattern: Pattern) -> str:
    """One sentence for a list, the item first."""
    return f"{item_name(pattern)} {often_text(pattern)}."


def compared_text(pattern: Pattern) -> str:
    """The failures here beside those of the class, with limits, and of which day that is."""
    told = pattern.figures
    here = ngettext(
        "{count} failure in {span} here", "{count} failures in {span} here",
        pattern.failures,
    ).format(count=pattern.failures, span=span_text(told["years"]))  # fmt: skip
    if not told["others_years"]:
        return _("{here}; no other fan has such a motor and drive.").format(here=here)
    others = ngettext(
        "{count} in {years} fan-years on all others with such a motor and drive",
        "{count} in {years} fan-years on all others with such a motor and drive",
        told["others"],
    ).format(count=told["others"], years=fan_years_text(told["others_years"]))
    return f"{here}; {others}. {_ratio_text(told)} {_odds_text(pattern)}"


def fan_years_text(years: float) -> str:
    """Years of all fans of a kind together."""
    if years >= MANY_YEARS:
        return f"{years:,.0f}"
    return f"{years:.1f}" if years >= 0.05 else _("less than 0.1")


def _ratio_text(told: dict[str, float | None]) -> str:
    if told["ratio"] is None:
        return _("At least {lower} times as often (95 %).").format(lower=figure_text(told["lower"]))
    return _("{ratio} times as often (95 %: {lower} to {upper}).").format(
        **{name: figure_text(told[name]) for name in ("ratio", "lower", "upper")}
    )


def figure_text(value: float | None) -> str:
    """Two digits that count; a dash where nothing tells."""
    if value is None:
        return "–"
    if value >= 10:
        return f"{float(f'{value:.2g}'):,.0f}"
    return f"{value:.1f}" if value >= 1 else f"{value:.2g}" if value >= 0.001 else "0"


def _odds_text(pattern: Pattern) -> str:
    share = pattern.figures["discovery"]
    on = day_text(pattern.as_of)
    if pattern.by_rate:
        told = _(
            "Of all positions that stand out as much, {share} % are expected to be chance; "
            "reckoned {day}."
        ).format(share=percent_text(share), day=on)
        if (pattern.figures["lower"] or 0) >= 1:
            return told
        return _("It stands out barely: its own range still holds no difference.") + f" {told}"
    return _(
        "Few failures leave so wide a range, and among so many fans some fail as often by bad luck "
        "alone: by number it could be chance; reckoned {day}."
    ).format(day=on)


def chance_text(chance: float) -> str:
    """To two places; none is so small as nothing."""
    return "< 0.01" if chance < 0.005 else f"{chance:.2f}"


def percent_text(share: float) -> str:
    """A share in percent, without its sign, and how exactly it is told."""
    percent = 100 * share
    return _("less than 0.1") if percent < 0.1 else _("about {n}").format(n=f"{percent:.1f}")


def closing_text(closing: PatternClosing) -> str:
    """Who closed a pattern when and with which words."""
    return " ".join(_closing_parts(closing))


def _closing_parts(closing: PatternClosing) -> Iterator[str]:
    on = day_text(closing.closed_at.date())
    if closing.closed_by is None and closing.visit is None:
        yield _("{day}: no longer holds, the record was corrected.").format(day=on)
        return
    if closing.visit is None:
        told = _("{day}: closed by {who} after {count} failures.")
    else:
        told = _(
            "{day}: closed after {count} failures by the cause that {who} told on the visit of "
            "{visit}."
        )
    visited = day_text(closing.visit.local_on) if closing.visit else ""
    yield told.format(day=on, who=_closer(closing), count=closing.failures, visit=visited)
    if closing.cause:
        yield _("Cause as recorded: {cause}.").format(cause=cause_text(closing.cause).rstrip("."))
    if closing.is_taken_back:
        yield _("That visit was corrected since.")
    if closing.reason:
        yield _("Reason: {reason}.").format(reason=closing.reason.rstrip("."))


def _closer(closing: PatternClosing) -> str:
    if closing.closed_by is not None:
        return closing.closed_by.called
    return (closing.visit.technician_name if closing.visit else "") or _("somebody")


def course_text(course: Course | None) -> str:
    """Whether the position fails ever faster, with the interval; no verdict where they are few."""
    if course is None:
        return ""
    told = _(
        "{count} failures of any item in {span} at this position: power law's shape {shape} "
        "(95 %: {lower} to {upper}; above 1 they come ever faster), Laplace's p {p}."
    ).format(
        count=course.failures, span=span_text(course.years), shape=f"{course.shape:.2f}",
        lower=f"{course.lower:.2f}", upper=f"{course.upper:.2f}", p=chance_text(course.p),
    )  # fmt: skip
    return f"{told} {_verdict(course)}"


def _verdict(course: Course) -> str:
    if course.told == "faster":
        return _("They come ever faster, as far as the record shows.")
    if course.told == "slower":
        return _("They come ever slower, as far as the record shows.")
    if course.told == "not_shown":
        return _("Neither faster nor slower is shown.")
    return _("Under {fewest} failures that says nothing yet.").format(fewest=course.fewest)


def share_text(crew: Crew) -> str:
    """How often fans were worse at the look after, with limits."""
    if not crew.told:
        return _("nothing to tell: no look before and after")
    told = (
        _("{steps} of {told}; so few fans say nothing of a crew (95 %: {lower} to {upper} %)")
        if crew.is_few
        else _("{steps} of {told}, {share} % (95 %: {lower} to {upper} %)")
    )
    return told.format(
        steps=len(crew.steps), told=crew.told, share=round(100 * len(crew.steps) / crew.told),
        lower=floor(100 * crew.lower), upper=ceil(100 * crew.upper),
    )  # fmt: skip


def step_text(step: Step) -> str:
    """What was worse, and between which looks."""
    worse = ", ".join(
        f"{subject_words(name)} {words(VERDICTS, verdict)}"
        for name, verdict in step.subjects.items()
    )
    return _("cleaned {day}; look before {before}, after {after}: {worse}").format(
        day=day_text(step.cleaned_on), before=day_text(step.before_on),
        after=day_text(step.after_on), worse=worse,
    )  # fmt: skip


def advised_text(told: Failed) -> str:
    """The advice before a failure that led to nothing, and what was said to it."""
    advice, answer = told.advice, told.answer
    assert advice is not None  # noqa: S101
    said = (
        _("{answer} {day}").format(
            answer=words(ANSWERS, answer.answer), day=day_text(answer.decided_on)
        )
        if answer
        else _("no answer until then")
    )
    return _(
        "{day}: {text}; {answer}. That one followed the other does not show that it caused it."
    ).format(day=day_text(advice.visit.local_on), text=advice.text.strip().rstrip("."), answer=said)
