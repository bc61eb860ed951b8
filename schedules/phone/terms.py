"""Codes that records are made of, each with its words, for whoever picks one."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.translation import get_language

from fleet import failure_terms
from fleet.quantities import GREASE_PLACES
from visits.payload.visit import ABOUT
from visits.wording import (
    ANSWERS,
    CAUSES,
    EVENT_KINDS,
    FAILURE_MODES,
    ITEMS,
    MECHANISMS,
    PLACES,
    REASONS,
    SEVERITIES,
    SUBJECTS,
    VISIT_KINDS,
    WORK,
    words,
)
from visits.wording.names import Words, upper_first

Pairs = list[list[str]]


def tell_terms() -> dict[str, Pairs]:
    """Every list of codes with its words, in the language in force."""
    known = _KNOWN.get(get_language())
    if known is None:
        known = _KNOWN[get_language()] = {name: _pairs(*each) for name, each in LISTS.items()}
    return known


_KNOWN: dict[str | None, dict[str, Pairs]] = {}


def _pairs(table: Words, codes: Iterable[str] = ()) -> Pairs:
    return [[code, upper_first(words(table, code))] for code in codes or table]


CAUSES_COUNTED = [
    *(cause for each in failure_terms.CAUSE_GROUPS.values() for cause in each),
    failure_terms.OTHER_CAUSE,
]
LISTS: dict[str, tuple[Words, Iterable[str]]] = {
    "items": (ITEMS, ()),
    "subjects": (SUBJECTS, [code for code in SUBJECTS if code in ABOUT]),
    "failure_modes": (FAILURE_MODES, failure_terms.FAILURE_MODES),
    "mechanisms": (MECHANISMS, failure_terms.MECHANISMS),
    "causes": (CAUSES, CAUSES_COUNTED),
    "severities": (SEVERITIES, ()),
    "actions": (WORK, ()),
    "reasons": (REASONS, ()),
    "answers": (ANSWERS, ()),
    "kinds": (VISIT_KINDS, ()),
    "happenings": (EVENT_KINDS, ()),
    "cleaned_places": (PLACES, GREASE_PLACES),
}
