"""Failures counted by item, machine model and site in words: how often, against what, how sure."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from schedules.engine.failures.trends import FEWEST_TO_JUDGE
from schedules.models import FailureTally, FleetCurve, Pattern
from schedules.patterns.machines import MachineCounts
from schedules.wording.days import day_text, span_text
from schedules.wording.patterns import (
    chance_text,
    fan_years_text,
    figure_text,
    percent_text,
)
from visits.wording import ITEMS, words
from visits.wording.names import Words, upper_first

KINDS: Words = {
    "item": gettext_lazy("By item"),
    "model": gettext_lazy("By machine model"),
    "site": gettext_lazy("By site"),
}  # fmt: skip
LATELY, OTHERS = gettext_lazy("A year against before"), gettext_lazy("Against all others")


def tallied_item(row: FailureTally) -> str:
    """The item as a cell names it."""
    return words(ITEMS, row.item) if row.item else _("any item")


def tallied_text(row: FailureTally) -> str:
    """How many failures on how many fans."""
    count = ngettext("{count} failure", "{count} failures", row.failures).format(count=row.failures)
    fans = ngettext("{count} fan", "{count} fans", row.positions).format(count=row.positions)
    return _("{failures} on {fans}").format(failures=count, fans=fans)


def often_text(row: FailureTally) -> str:
    """How often a year a fan of the group failed so, with limits."""
    told = row.figures
    return _("{rate} (95 %: {lower} to {upper})").format(
        rate=figure_text(row.failures / told["years"] if told["years"] else None),
        lower=figure_text(told["rate_lower"]), upper=figure_text(told["rate_upper"]),
    )  # fmt: skip


def ratio_text(row: FailureTally) -> str:
    """Against others, or the last year against the time before; and whether that stands out."""
    told = row.figures
    if not told["others_years"]:
        return (
            _("No earlier time to hold it against.")
            if row.by == row.By.ITEM
            else _("No other fans with such a motor and drive.")
        )
    if told["ratio"] is None:
        held = _("At least {lower} times as often (95 %).").format(lower=figure_text(told["lower"]))
    else:
        held = _("{ratio} times as often (95 %: {lower} to {upper}).").format(
            **{name: figure_text(told[name]) for name in ("ratio", "lower", "upper")}
        )
    if row.by == row.By.ITEM:
        held = _("Year until {day}: {held}").format(day=day_text(row.as_of), held=held)
    return f"{held} {_chance(row)}"


def _chance(row: FailureTally) -> str:
    if row.stands_out:
        told = (
            _("Stands out: of all that do as much, {share} % are expected to be chance.")
            if row.figures["lower"] > 1
            else _(
                "Stands out, if barely, for its own range still holds no difference: of all that "
                "do as much, {share} % are expected to be chance."
            )
        )
        return told.format(share=percent_text(row.figures["discovery"]))
    if row.figures["ratio"] is not None and row.figures["ratio"] <= 1:
        return _("Not more often.")
    if row.positions < 2:
        return _("One fan alone: see that position.")
    return _("Could be chance.")


def tally_course_text(row: FailureTally, *, shown_alone: bool = False) -> str:
    """Whether its failures come ever faster; empty under six, where nothing is said.

    ``shown_alone`` leaves out those of which neither is shown.
    """
    told = row.figures
    if row.failures < FEWEST_TO_JUDGE or told["shape_lower"] is None:
        return ""
    if told["shape_lower"] > 1:
        verdict = _("Ever faster, as far as the record shows")
    elif told["shape_upper"] < 1:
        verdict = _("Ever slower, as far as the record shows")
    elif shown_alone:
        return ""
    else:
        verdict = _("Neither faster nor slower is shown")
    return _(
        "{verdict} (power law's shape {shape}, 95 %: {lower} to {upper}; Laplace's p {p})."
    ).format(
        verdict=verdict, shape=f"{told['shape']:.2f}", lower=f"{told['shape_lower']:.2f}",
        upper=f"{told['shape_upper']:.2f}", p=chance_text(told["p"]),
    )  # fmt: skip


def tally_text(row: FailureTally) -> str:
    """One sentence, whose and how often."""
    name = {"model": row.model, "site": row.site.name if row.site else ""}.get(row.by, "")
    whose = ", ".join(filter(None, [name, tallied_item(row)]))
    return _("{whose}: {failures}.").format(whose=upper_first(whose), failures=tallied_text(row))


def curve_text(row: FleetCurve) -> str:
    """What the drawing shows, for those who read it and those who do not see it."""
    years, watched, mean, lower, upper = row.points[-1]
    return _(
        "{failures} failures of {fans} fans. After {span} under watch a fan had failed "
        "{mean} times on average (95 %: {lower} to {upper}); {watched} were watched so long; "
        "reckoned {day}."
    ).format(
        failures=f"{row.failures:,}", fans=f"{row.fans:,}", span=span_text(years),
        mean=figure_text(mean), lower=figure_text(lower), upper=figure_text(upper),
        watched=f"{watched:,}", day=day_text(row.as_of),
    )  # fmt: skip


def machines_text(row: Pattern, counts: MachineCounts) -> str:
    """Whether any machine fails here or one alone, and how its like fare elsewhere."""
    item = words(ITEMS, row.item)
    if counts.item_stays:
        told = [_stays(item), _beside_machines(counts), _elsewhere_beside(counts, item)]
    else:
        told = [_machines(counts, item), _elsewhere(counts, item)]
    return " ".join(filter(None, told))


def _stays(item: str) -> str:
    return _("The {item} belongs to the position: it stays when the machine is replaced.").format(
        item=item
    )


def _beside_machines(counts: MachineCounts) -> str:
    """Of what stays: which machines stood beside it when it failed."""
    if counts.told == "position" and counts.stood == 2:
        told = _("It failed under both machines that stood here")
    elif counts.told == "position":
        told = _("It failed under all {stood} machines that stood here")
    elif counts.told == "some":
        told = _("It failed under {failed} of the {stood} machines that stood here")
    elif counts.told == "machine":
        return _(
            "All {count} failures fell while one of the {stood} machines stood here; so few do "
            "not show whether that machine has a part in them."
        ).format(count=sum(counts.failures.values()), stood=counts.stood)
    elif counts.told == "one_machine":
        return _(
            "One machine has stood here all along; whether it has a part in these failures "
            "nothing tells."
        )
    else:
        return _("Which machine stood here at each failure is not on record.")
    return _for_position(told.format(failed=len(counts.failures), stood=counts.stood))


def _machines(counts: MachineCounts, item: str) -> str:
    if counts.told == "position" and counts.stood == 2:
        told = _("Both machines that stood here lost their {item}")
    elif counts.told == "position":
        told = _("All {stood} machines that stood here lost their {item}")
    elif counts.told == "some":
        told = _("{failed} of the {stood} machines that stood here lost their {item}")
    elif counts.told == "machine":
        return _(
            "All {count} failures fell on one of the {stood} machines that stood here; so few do "
            "not show whether it was the machine."
        ).format(count=sum(counts.failures.values()), stood=counts.stood)
    elif counts.told == "one_machine":
        return _("One machine has stood here all along: nothing tells it from the position.")
    else:
        return _("On which machine each failure fell is not on record.")
    said = told.format(item=item, failed=len(counts.failures), stood=counts.stood)
    return _for_position(said)


def _for_position(said: str) -> str:
    return _(
        "{said}: that speaks for the position rather than one machine, and proves neither."
    ).format(said=said)


def _elsewhere(counts: MachineCounts, item: str) -> str:
    if counts.elsewhere is None:
        return ""
    years = fan_years_text(counts.elsewhere_years)
    if not counts.elsewhere:
        return _(
            "Elsewhere no machine of model {model} lost its {item} in {years} fan-years."
        ).format(model=counts.model, item=item, years=years)
    return ngettext(
        "Elsewhere machines of model {model} lost their {item} once in {years} fan-years.",
        "Elsewhere machines of model {model} lost their {item} {count} times in {years} fan-years.",
        counts.elsewhere,
    ).format(model=counts.model, item=item, count=counts.elsewhere, years=years)


def _elsewhere_beside(counts: MachineCounts, item: str) -> str:
    if counts.elsewhere is None:
        return ""
    years = fan_years_text(counts.elsewhere_years)
    if not counts.elsewhere:
        return _(
            "Elsewhere the {item} never failed beside a machine of model {model} in {years} "
            "fan-years."
        ).format(model=counts.model, item=item, years=years)
    return ngettext(
        "Elsewhere the {item} failed once beside a machine of model {model} in {years} fan-years.",
        "Elsewhere the {item} failed {count} times beside machines of model {model} in {years} "
        "fan-years.",
        counts.elsewhere,
    ).format(model=counts.model, item=item, count=counts.elsewhere, years=years)
