"""The names a record may use, listed from the registry: what no format page could keep true."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator

from fleet.failure_terms import CAUSES, FAILURE_MODES, MECHANISMS, OTHER_CAUSE
from fleet.imports.columns import MACHINE_COLUMNS
from fleet.quantities import CONTEXT, GREASE_PLACES, MEASURED, Quantity
from visits.payload.names import GREASE, ITEMS, SEEN_ITEMS, SUBJECTS, short_name
from visits.payload.others import EVENT_KINDS
from visits.payload.visit import (
    ANSWERS,
    KINDS,
    REASONS,
    SEVERITY_VERDICT,
    STAGES,
    SWITCH,
    WORK,
)

_TOLD_BY_THE_VISIT = ("installed_on",)
WIDTH = 90
COLUMN = 29


def vocabulary_text() -> str:
    """Readings with units, seen items with states, subjects, items, kinds and plate fields."""
    parts = (
        ("Readings: the unit of a bare number, others taken, what is plausible", _readings()),
        ("Seen items: their states, each with the verdict it gives", _seen()),
        ("Context of a check", _context()),
        ("Kinds", _kinds()),
        ("Subjects of findings, lasting, recheck, recommendations, decisions", _words(SUBJECTS)),
        ("Items of findings, actions, not reached (or any subject)", _words(ITEMS)),
        ("Fields of a new machine's nameplate", _plate()),
    )
    return "\n\n".join("\n".join((title, *lines)) for title, lines in parts)


def _readings() -> Iterator[str]:
    combs = {f"{name}_{end}_um" for name in GREASE for end in ("low", "high")}
    for quantity in MEASURED:
        if quantity.name not in combs:
            yield _line(short_name(quantity), _taken(quantity))
    for name in GREASE:
        high = next(q for q in MEASURED if q.name == f"{name}_high_um")
        yield _line(name, _taken(high))


def _taken(quantity: Quantity) -> str:
    others = [unit for unit in quantity.accepted if unit != quantity.unit]
    also = f" (or {', '.join(others)})" if others else ""
    signs = " ".join(sign for sign in quantity.qualifiers if sign)
    marks = f"; may be {signs}" if signs else ""
    return f"{quantity.unit}{also}, {quantity.low:,g} to {quantity.high:,.10g}{marks}"


def _seen() -> Iterator[str]:
    for name, quantity in SEEN_ITEMS.items():
        states = (
            state.code if state.verdict in (None, "within") else f"{state.code} ({state.verdict})"
            for state in quantity.states
        )
        yield _line(name, ", ".join(states))


def _context() -> Iterator[str]:
    for field in CONTEXT:
        span = f"{field.low:g} to {field.high:g}"
        yield _line(field.name, ", ".join(field.choices) or span)


def _kinds() -> Iterator[str]:
    told = {
        "visit": KINDS, "stage": STAGES, "severity": SEVERITY_VERDICT,
        "verdict": SEVERITY_VERDICT.values(), "action": WORK, "not reached": REASONS,
        "switch_left": SWITCH, "answer": ANSWERS, "event": EVENT_KINDS,
        "place cleaned": GREASE_PLACES,
    }  # fmt: skip
    for name, codes in told.items():
        yield _line(name, ", ".join(codes))
    # other texts of up to 8 and 40 letters are kept as written and counted with nothing
    yield _line("failure_mode", ", ".join(FAILURE_MODES))
    yield _line("mechanism", ", ".join(MECHANISMS))
    yield _line("cause", ", ".join((*CAUSES, OTHER_CAUSE)))


def _plate() -> Iterator[str]:
    for column in MACHINE_COLUMNS:
        if column.field not in _TOLD_BY_THE_VISIT:
            number = f"a number of {column.unit}" if column.unit else "a number"
            meaning = number if column.kind == "number" else column.meaning
            yield _line(column.field, ", ".join(column.codes) or meaning)


def _words(names: Iterable[str]) -> list[str]:
    return textwrap.wrap(
        ", ".join(sorted(names)), WIDTH, initial_indent="    ", subsequent_indent="    ",
        break_on_hyphens=False,
    )  # fmt: skip


def _line(name: str, told: str) -> str:
    return textwrap.fill(
        told, WIDTH, initial_indent=f"    {name:<{COLUMN}}", break_on_hyphens=False,
        subsequent_indent=" " * (COLUMN + 4),
    )  # fmt: skip
