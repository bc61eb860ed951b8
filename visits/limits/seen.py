"""Items judged by eye, hand or ear: the state says the verdict; and which lists a check answers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from typing import Any

from fleet.quantities import ALWAYS_ANSWERED_BY, LOOK_LISTS, QUANTITIES
from visits.limits.basis import CHOICE, HINGED_FAN, Basis
from visits.limits.case import Case, Given
from visits.limits.judgement import Judgement
from visits.limits.protection import PRESENT
from visits.limits.readings import Reading

_REQUIRED_BY: dict[str, Basis] = dict.fromkeys(("hinge", "catch", "cable"), HINGED_FAN)
FELT = "vibration_felt"


def seen_rows(case: Case) -> Iterator[Judgement]:
    """One judgement for each seen item whose state carries a verdict."""
    for name, code in case.states.items():
        state = QUANTITIES[name].state(code)
        if name == PRESENT or state.verdict is None:
            continue
        args: dict[str, Any] = {}
        verdict, reason = state.verdict, code
        if state.recheck_days is not None:
            args["recheck_days"] = state.recheck_days
        if name == FELT and code == "slight" and case.context.slight_before:
            verdict, reason = "within", "slight_as_before"
        basis = _REQUIRED_BY.get(name, CHOICE)
        item = QUANTITIES[name].item
        yield Judgement(name, f"{name}.{reason}", verdict, item, name, basis, code, args=args)


LIST_ENTRIES = frozenset(entry for entries in LOOK_LISTS.values() for entry in entries)
ANSWERING = frozenset(
    name for entry in LIST_ENTRIES for name in ALWAYS_ANSWERED_BY.get(entry, (entry,))
)
"""Readings that answer an entry of some list; the others answer none."""

NO_ANSWER = {"volts_word": "not_measured"}
"""Saying that volts were not measured answers nothing; saying so of current is allowed."""


def answered_entries(readings: Mapping[str, Given]) -> frozenset[str]:
    """Entries of ``fleet.quantities.LOOK_LISTS`` that a check's readings answer."""
    told = ANSWERING.intersection(readings)
    return entries_of(frozenset(name for name in told if is_answer(name, readings[name])))


@lru_cache(maxsize=1024)
def entries_of(given: frozenset[str]) -> frozenset[str]:
    """Entries that these readings, answers all, stand for: the same are read visit after visit."""
    return frozenset(
        entry
        for entry in LIST_ENTRIES
        if given.intersection(ALWAYS_ANSWERED_BY.get(entry, (entry,)))
    )


def is_answer(name: str, given: Given) -> bool:
    """Whether a reading of ``ANSWERING`` tells anything."""
    value = given.value if isinstance(given, Reading) else given
    if value is None:
        return isinstance(given, Reading) and bool(given.qualifier)
    return NO_ANSWER.get(name) != value


def unanswered(readings: Mapping[str, Given], entries: Iterable[str]) -> tuple[str, ...]:
    """Those of ``entries`` (a list to look at) that the readings leave open, in their order."""
    answered = answered_entries(readings)
    return tuple(entry for entry in entries if entry not in answered)
