"""One fan's dates at length: what drives it, the runners-up, where the numbers come from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from schedules.due.evidence import Evidence
from schedules.engine.record import RuleDate
from schedules.wording.days import day_text
from schedules.wording.rules import rule_name
from schedules.wording.seen import told_text
from visits.wording import words
from visits.wording.names import Words, upper_first

RULE_BASIS: Words = {
    "1": gettext_lazy(
        "Base interval and grace: common practice. Factors by condition and reliability: "
        "NETA MTS, Appendix B. At most four months: our choice."
    ),
    "2": gettext_lazy(
        "Months by cooking: NFPA 96, table of inspections for grease. The local code and the "
        "authority having jurisdiction come first."
    ),
    "3": gettext_lazy(
        "The shorter of the maker's interval and the bearing handbooks'. The maker's word on the "
        "kind and amount of grease comes first."
    ),
    "4": gettext_lazy(
        "Depths at which to clean: NFPA 96, by comb. Two weeks ahead of the limit: our choice."
    ),
    "5": gettext_lazy(
        "Limits: ISO 14694. Half of the warning time: SAE JA1011. Waits and steps: our choice."
    ),
    "6": gettext_lazy(
        "Days to the next look by verdict: our choice; a person's own date goes first."
    ),
    "7": gettext_lazy("Days after an event: our choice; belts: handbook, 24 to 48 running hours."),
    "8": gettext_lazy(
        "Odds from failures on record and those of fans with the same drive (gamma-Poisson model). "
        "The share a visit prevents, the odds waited for, two weeks at least: our choice. Dates "
        "keep that share, so that none moves later by it; what waiting costs goes by the share "
        "that failures on record tell."
    ),
    "9": gettext_lazy("The promised day, else a week: our choice."),
}


@dataclass(frozen=True)
class Explained:
    """One rule's answer ready for a page."""

    name: str
    reason: str
    when: str
    basis: str


def explain(told: RuleDate, seen: Evidence | None = None) -> Explained:
    """A rule's date at length, with what ``schedules.due.evidence`` found behind it."""
    return Explained(
        name=upper_first(rule_name(told.rule)),
        reason=told_text(told, seen),
        when=when_text(told),
        basis=words(RULE_BASIS, str(told.rule)),
    )


def explain_all(dates: Sequence[RuleDate], seen: Mapping[int, Evidence]) -> list[Explained]:
    """All rules' dates, the driving one first; ``seen`` by rule."""
    return [explain(told, seen.get(told.rule)) for told in dates]


def when_text(told: RuleDate) -> str:
    """``Due Tue 3 Mar 2026, overdue after Tue 17 Mar 2026.``"""
    due, over = day_text(told.due_day), day_text(told.overdue_after_day)
    if told.due_day == told.overdue_after_day:
        return _("Due {due}; overdue the day after.").format(due=due)
    return _("Due {due}, overdue after {over}.").format(due=due, over=over)
