"""A check as its page shows it: every reading with its verdict, sentence and basis."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.quantities import QUANTITIES, SEEN, VERDICT_ORDER
from schedules.fan_page.typed import is_read, read_with, reading_of, typed_text
from visits.judging import subject_of
from visits.limits import STANDINGS, Judgement
from visits.models import Check
from visits.wording import (
    STAGES,
    STATES,
    VERDICTS,
    basis_words,
    judgement_sentence,
    subject_words,
    words,
)
from visits.wording.names import SWITCHED, Words, upper_first

UNJUDGED_WORDS: Words = {
    "insulation_temperature_c": gettext_lazy("winding temperature"),
    "lead_zero_ohm": gettext_lazy("leads together"),
    "belt_span_mm": gettext_lazy("belt span"),
    "hour_meter_h": gettext_lazy("hour meter"),
    "speed_rpm": gettext_lazy("speed"),
    "supply_hz": gettext_lazy("supply frequency"),
    "vibration_meter": gettext_lazy("vibration meter"),
    "vibration_hz": gettext_lazy("vibration read at"),
    "amps_place": gettext_lazy("current taken at the"),
    "pole_meter": gettext_lazy("poles read with"),
}
CONTEXT_STATES: Words = {
    "line": gettext_lazy("line side"),
    "drive_output": gettext_lazy("drive's output"),
    "low_resistance": gettext_lazy("low-resistance meter"),
    "phone": gettext_lazy("a phone"),
}
USUAL_METER = "overall"
SHARED_READINGS = {"volts_unbalance": "volts", "lost_phase": "amps", "amps_unbalance": "amps"}
"""Subjects judged from readings that another row shows as typed already."""


@dataclass(frozen=True)
class ReadingRow:
    """One judgement: what was read as typed, its verdict, why, and by what it was judged."""

    name: str
    typed: str
    mark: str
    word: str
    sentence: str
    basis: str
    lasting: bool
    beside: str = ""


@dataclass(frozen=True)
class ShownCheck:
    """One stage of a check; ``sound`` are seen items within, in one sentence.

    ``unsourced`` names once whose limits no standard gives; ``is_within`` leaves nothing to mind.
    """

    stage: str
    machine: str
    rows: list[ReadingRow]
    sound: str
    also: str
    unsourced: str
    notes: str
    within: str

    @property
    def is_within(self) -> bool:
        """Whether every verdict is within and nobody wrote anything down."""
        return not self.notes and all(row.mark == "within" for row in self.rows)


def show_check(
    check: Check,
    judgements: Sequence[Judgement],
    *,
    machine: str,
    beside: Mapping[str, str],
    lasting: Collection[str],
) -> ShownCheck:
    """Measured readings and everything not within as rows, worst first; the rest as a sentence.

    ``beside`` has, by quantity, what stands beside a first reading; ``lasting`` are the subjects
    whose fault is known and lasts.
    """
    sound = [one for one in judgements if _is_sound(one)]
    told = sorted(
        (one for one in judgements if not _is_sound(one)),
        key=lambda one: -VERDICT_ORDER[one.verdict],
    )
    return ShownCheck(
        stage=upper_first(words(STAGES, check.stage)),
        machine=machine,
        rows=[_row(check, one, beside, lasting) for one in told],
        sound=_sound(sound),
        also=_also(check),
        unsourced=_unsourced(told),
        notes=check.notes,
        within=words(VERDICTS, "within"),
    )


def _is_sound(judgement: Judgement) -> bool:
    return judgement.verdict == "within" and judgement.quantity in SEEN_NAMES


SEEN_NAMES = frozenset(quantity.name for quantity in SEEN)


def _row(
    check: Check, judgement: Judgement, beside: Mapping[str, str], lasting: Collection[str]
) -> ReadingRow:
    subject = subject_of(judgement)
    name = upper_first(subject_words(subject))
    return ReadingRow(
        name=name,
        typed=_typed(check, judgement),
        mark=judgement.verdict.replace("_", "-"),
        word=words(VERDICTS, judgement.verdict),
        sentence=_sentence(judgement, name),
        basis=basis_words(judgement.basis) if _has_source(judgement) else "",
        lasting=subject in lasting,
        beside="" if judgement.subject in SHARED_READINGS else _beside(judgement, beside),
    )


def _has_source(judgement: Judgement) -> bool:
    return judgement.verdict != "cannot_judge" and judgement.basis.standard not in STANDINGS


def _unsourced(judgements: Iterable[Judgement]) -> str:
    """What is judged by a habit of the trade or a default of ours, said once for all of it."""
    named: dict[str, list[str]] = {}
    for one in judgements:
        if one.verdict != "cannot_judge" and not _has_source(one):
            named.setdefault(basis_words(one.basis), []).append(subject_words(subject_of(one)))
    return " ".join(
        _("Judged by {standing}: {subjects}.").format(
            standing=standing, subjects=", ".join(dict.fromkeys(subjects))
        )
        for standing, subjects in named.items()
    )


def _beside(judgement: Judgement, beside: Mapping[str, str]) -> str:
    return beside.get(read_with(judgement.quantity)[0], "")


def _sentence(judgement: Judgement, name: str) -> str:
    """What the name and the reading beside it do not say already."""
    sentence = without_name(judgement_sentence(judgement), name)
    is_bare = sentence.rstrip(".").lower() == words(STATES, str(judgement.value)).lower()
    return "" if is_bare else sentence


def without_name(sentence: str, name: str) -> str:
    """A sentence that stands beside the name it begins with."""
    return upper_first(sentence.removeprefix(f"{name}: "))


def _typed(check: Check, judgement: Judgement) -> str:
    """The readings behind a judgement as typed, or the state seen."""
    if judgement.quantity in SEEN_NAMES:
        return words(STATES, str(getattr(check, judgement.quantity)))
    return "" if judgement.subject in SHARED_READINGS else reading_of(check, judgement.quantity)


def _sound(judgements: Iterable[Judgement]) -> str:
    """Seen items within, each with the state seen."""
    return "\N{NO-BREAK SPACE}· ".join(map(_seen_so, judgements))


def _seen_so(judgement: Judgement) -> str:
    state = words(STATES, str(judgement.value))
    # a fan runs or not: its state says it all
    return (
        state if judgement.subject == "running" else f"{subject_words(judgement.subject)} {state}"
    )


def _also(check: Check) -> str:
    """Readings without a verdict of their own, and how others were taken."""
    told = []
    for name, term in UNJUDGED_WORDS.items():
        if name in QUANTITIES:
            text = typed_text(check, name) if is_read(check, name) else ""
        else:
            value = getattr(check, name)
            text = "" if value in (None, USUAL_METER) else _context(value)
        if text:
            told.append(f"{term} {text}")
    if check.switch_left:
        told.append(_("switch left {state}").format(state=words(SWITCHED, check.switch_left)))
    return upper_first("; ".join(told))


def _context(value: str | float) -> str:
    return f"{value:g} Hz" if isinstance(value, float) else words(CONTEXT_STATES, value)
