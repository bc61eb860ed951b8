"""Why a fan may have failed, in words that promise nothing: never determined, only likely."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.failure_terms import is_listed, term_of
from schedules.engine.causes import LookFor, Ranked, WhyFailed
from schedules.wording.cause_words import BANDS, EVIDENCE, LOOK_CAUTIONS, LOOKS, TROUBLES
from schedules.wording.days import day_text
from visits.wording import CAUSES, ITEMS, STANDINGS, words

MOST_REASONS = 3
TRIP = frozenset({"breaker", "overload"})
"""Items that stop a fan by doing what they are for."""


@dataclass(frozen=True)
class CauseWords:
    """One cause: how likely, its name, why, and how well the tie is founded."""

    band: str
    name: str
    sentence: str
    basis: str


@dataclass(frozen=True)
class WhyWords:
    """All that is said of one failure; ``causes`` only those that something on record shows."""

    lead: str
    causes: tuple[CauseWords, ...]
    looks: tuple[str, ...]
    cautions: tuple[str, ...]
    last: str


def why_words(why: WhyFailed, failed_on: date, cause: str = "") -> WhyWords:
    """A failure's causes and next looks in sentences; a recorded ``cause`` ends all guessing."""
    if cause:
        return WhyWords(_recorded(why, failed_on, cause), (), (), (), "")
    shown = [cause for cause in why.causes if cause.band != "not_shown"]
    known = why.known or {}
    return WhyWords(
        lead=_lead(why, failed_on, is_shown=bool(shown)),
        causes=tuple(cause_words(cause, known) for cause in shown),
        looks=tuple(str(words(LOOKS, look.code)) for look in why.looks),
        cautions=look_cautions(why.looks),
        last=why_basis() if why.causes else "",
    )


def why_basis() -> str:
    """What all this rests on."""
    return _(
        "Reckoned from what is on record; odds are our choice or common practice, and part of them "
        "always stays with something on no list. Whoever finds the cause records it."
    )


def _recorded(why: WhyFailed, failed_on: date, cause: str) -> str:
    return _("Cause of the failure ({item}, {day}) as written down: {cause}.").format(
        item=words(ITEMS, why.item), day=day_text(failed_on), cause=cause_text(cause)
    )


def cause_text(cause: str) -> str:
    """A cause in words if it is one of those listed, else as it was written down."""
    return words(CAUSES, term_of(cause)) if is_listed("cause", cause) else cause


def _lead(why: WhyFailed, failed_on: date, *, is_shown: bool) -> str:
    told = (
        _("Why the {item} tripped or failed ({day}) is not determined.")
        if why.item in TRIP
        else _("Why the {item} failed ({day}) is not determined.")
    )
    failed = told.format(item=words(ITEMS, why.item), day=day_text(failed_on))
    if why.trouble:
        return f"{failed} {words(TROUBLES, why.trouble)}"
    return failed if is_shown else f"{failed} {_('Nothing on record points clearly to a cause.')}"


def cause_words(cause: Ranked, known: Mapping[str, bool]) -> CauseWords:
    """One cause with what speaks for it and against it."""
    parts = [
        _for(_pieces(cause.speaks_for, known)),
        _against(_pieces(cause.speaks_against, known)),
        _confirmed(cause.confirmed),
    ]
    return CauseWords(
        str(words(BANDS, cause.band)),
        str(words(CAUSES, cause.cause)),
        " ".join(filter(None, parts)),
        str(words(STANDINGS, cause.standing)),
    )


def _for(pieces: str) -> str:
    return _("For it: {pieces}.").format(pieces=pieces) if pieces else ""


def _against(pieces: str) -> str:
    return _("Against it: {pieces}.").format(pieces=pieces) if pieces else ""


def _confirmed(count: int) -> str:
    if not count:
        return ""
    return ngettext(
        "Written down as the cause of such a failure in this fleet once.",
        "Written down as the cause of such failures in this fleet {count} times.",
        count,
    ).format(count=count)


def _pieces(codes: Iterable[str], known: Mapping[str, bool]) -> str:
    said = [evidence_words(code, there=known.get(code, True)) for code in codes]
    return ", ".join([each for each in said if each][:MOST_REASONS])


def evidence_words(code: str, *, there: bool) -> str:
    """A piece of evidence as found, or as looked for in vain."""
    return str(EVIDENCE[code][0 if there else 1])


def look_words(look: LookFor) -> str:
    """What to look at."""
    return str(words(LOOKS, look.code))


def look_cautions(looks: Iterable[LookFor]) -> tuple[str, ...]:
    """What to mind at these looks, each said once; local rules come first."""
    codes = dict.fromkeys(code for look in looks for code in look.cautions)
    said = [str(words(LOOK_CAUTIONS, code)) for code in codes]
    last = _("Local codes and licensed people come first.")
    return (*said, last) if said else ()
