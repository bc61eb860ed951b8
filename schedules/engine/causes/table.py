"""Reads and checks the table of causes, evidence and looks, which stands beside as data."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from math import nan
from pathlib import Path
from types import MappingProxyType
from typing import Any

from fleet.failure_terms import CAUSES, FAILURE_MODES, MECHANISMS
from schedules.engine.causes.evidence import FINDERS
from schedules.engine.errors import ParameterError
from schedules.engine.settable import Standing

NEEDS = (
    "belt", "three_phase", "capacitor", "wound", "greased", "triac", "drive", "not_renewed",
)  # fmt: skip
STANDINGS = tuple(standing.value for standing in Standing)
HERE = Path(__file__).parent
TEXTS = ("evidence", "mechanisms", "causes")


@dataclass(frozen=True)
class Piece:
    """A piece of evidence: ``usual`` is its chance in (0, 1) where something else was at work.

    Of one ``group`` only the strongest counts.  ``look`` finds it; empty where the register does.
    """

    code: str
    usual: float
    group: str
    look: str
    standing: str


@dataclass(frozen=True)
class Candidate:
    """A cause an item's failure may have; ``likely`` are chances in (0, 1) of its evidence."""

    item: str
    cause: str
    weight: float
    needs: tuple[str, ...]
    modes: frozenset[str]
    standing: str
    likely: Mapping[str, float]


@dataclass(frozen=True)
class LookFor:
    """Something to look at next: ``live`` only by those qualified for energised work.

    ``electrical`` is work at opened, dead circuits by electrically trained people.
    """

    code: str
    live: bool = False
    electrical: bool = False
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True)
class Table:
    """All of it: candidates by item, evidence and looks by code.

    ``mechanisms`` gives the piece of evidence that a mechanism written down is, by its term.
    """

    candidates: Mapping[str, tuple[Candidate, ...]]
    evidence: Mapping[str, Piece]
    looks: Mapping[str, LookFor]
    mechanisms: Mapping[str, str]


@cache
def default_table() -> Table:
    """The table as it comes."""
    return read_table(*((HERE / f"{name}.toml").read_text("utf-8") for name in TEXTS))


def read_table(evidence_toml: str, mechanisms_toml: str, causes_toml: str) -> Table:
    """A table from its three texts.

    Raises ParameterError that says which row is wrong, the value seen, and what is expected.
    """
    about, told = _parsed(evidence_toml, "evidence"), _parsed(causes_toml, "causes")
    written = _written(_parsed(mechanisms_toml, "mechanisms"))
    looks = {code: _look(code, row) for code, row in _table(about, "looks").items()}
    pieces = {
        code: _piece(f"evidence {code}", code, row, looks)
        for code, row in _table(about, "evidence").items()
    }
    missing = FINDERS.keys() ^ pieces.keys()
    if missing:
        raise ParameterError(
            f"evidence {', '.join(sorted(missing))} is either not told by any record or in no row; "
            "keep the rows of [evidence] and the finders the same"
        )
    twice = pieces.keys() & written
    if twice:
        raise ParameterError(f"mechanism {twice.pop()} is evidence of another kind too; rename it")
    pieces |= {code: each.piece for code, each in written.items()}
    rows = told.get("cause")
    if not isinstance(rows, list) or not rows:
        raise ParameterError("there is no [[cause]]; write one for each cause of an item")
    found: dict[str, list[Candidate]] = {}
    for place, row in enumerate(rows, 1):
        for seen in _candidates(f"cause {place}", row, pieces):
            candidate = _with_written(seen, written)
            of_item = found.setdefault(candidate.item, [])
            if any(candidate.cause == other.cause for other in of_item):
                raise ParameterError(
                    f"cause {place}: {candidate.cause!r} stands twice for {candidate.item!r}; "
                    "join the rows"
                )
            of_item.append(candidate)
    by_item = {item: tuple(each) for item, each in found.items()}
    terms = {term: code for code, each in written.items() for term in each.terms}
    frozen = MappingProxyType
    return Table(frozen(by_item), frozen(pieces), frozen(looks), frozen(terms))


def _parsed(text: str, name: str) -> Mapping[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ParameterError(f"the table of {name} is no TOML: {error}") from error


def _table(told: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    found = told.get(name)
    if not isinstance(found, dict) or not all(isinstance(row, dict) for row in found.values()):
        raise ParameterError(f"[{name}] is {found!r}; expected one row for each code")
    return found


def _look(code: str, row: Mapping[str, Any]) -> LookFor:
    _only(f"look {code}", row, ("live", "electrical", "cautions"))
    for name in ("live", "electrical"):
        if not isinstance(row.get(name, False), bool):
            raise ParameterError(f"look {code}: {name} is {row[name]!r}; expected true or false")
    cautions = _texts(f"look {code}", "cautions", row.get("cautions", []))
    return LookFor(code, row.get("live", False), row.get("electrical", False), cautions)


def _piece(place: str, code: str, row: Mapping[str, Any], looks: Mapping[str, LookFor]) -> Piece:
    _only(place, row, ("usual", "group", "look", "standing"))
    look = _one_of(place, "look", row.get("look", ""), ("", *looks))
    group = row.get("group")
    if not isinstance(group, str) or not group:
        raise ParameterError(f"{place}: group is {group!r}; expected a word")
    standing = _one_of(place, "standing", row.get("standing"), STANDINGS)
    return Piece(code, _share(place, "usual", row.get("usual")), group, look, standing)


def _candidates(
    place: str, row: Mapping[str, Any], pieces: Mapping[str, Piece]
) -> Iterator[Candidate]:
    _only(place, row, ("items", "cause", "weight", "needs", "modes", "standing", "evidence"))
    cause = _one_of(place, "cause", row.get("cause"), CAUSES)
    place = f"{place} ({cause})"
    weight = _number(row.get("weight"))
    if not 0 < weight <= 100:
        raise ParameterError(
            f"{place}: weight is {row.get('weight')!r}; expected a number in (0, 100]"
        )
    likely = row.get("evidence", {})
    if not isinstance(likely, dict) or not likely:
        raise ParameterError(f"{place}: evidence is {likely!r}; name at least one piece")
    for code, share in likely.items():
        _one_of(place, "evidence", code, tuple(pieces))
        _share(place, code, share)
    modes = _texts(place, "modes", row.get("modes", []))
    for mode in modes:
        _one_of(place, "modes", mode, FAILURE_MODES)
    items = _texts(place, "items", row.get("items", []))
    if not items:
        raise ParameterError(f"{place}: items is empty; name the items that it may befall")
    needs = _texts(place, "needs", row.get("needs", []))
    for need in needs:
        _one_of(place, "needs", need, NEEDS)
    standing = _one_of(place, "standing", row.get("standing"), STANDINGS)
    for item in items:
        told = MappingProxyType({code: float(share) for code, share in likely.items()})
        yield Candidate(item, cause, weight, needs, frozenset(modes), standing, told)


@dataclass(frozen=True)
class _Written:
    """A mechanism as evidence: findings' terms for it, and how often each cause leaves it."""

    piece: Piece
    terms: tuple[str, ...]
    left_by: Mapping[str, float]


def _written(told: Mapping[str, Any]) -> dict[str, _Written]:
    """What mechanisms are evidence of; each one that findings offer stands once, or is silent."""
    rows = {code: _mechanism(code, row) for code, row in _table(told, "mechanism").items()}
    silent = _texts("mechanisms", "silent", told.get("silent", []))
    terms = [*silent, *(term for each in rows.values() for term in each.terms)]
    off = {term for term in {*terms, *MECHANISMS} if terms.count(term) != (term in MECHANISMS)}
    if off:
        raise ParameterError(
            f"mechanisms {', '.join(sorted(off))} stand in no row, in two, or are none that "
            "findings offer; name each offered one once, in a row's terms or under silent"
        )
    return rows


def _mechanism(code: str, row: Mapping[str, Any]) -> _Written:
    place = f"mechanism {code}"
    _only(place, row, ("terms", "usual", "group", "standing", "left_by"))
    left_by = row.get("left_by")
    if not isinstance(left_by, dict) or not left_by:
        raise ParameterError(f"{place}: left_by is {left_by!r}; name at least one cause")
    for cause, share in left_by.items():
        _one_of(place, "left_by", cause, CAUSES)
        _share(place, cause, share)
    about = {name: row.get(name) for name in ("usual", "group", "standing")}
    return _Written(
        _piece(place, code, about, {}), _texts(place, "terms", row.get("terms", [])), left_by
    )


def _with_written(candidate: Candidate, written: Mapping[str, _Written]) -> Candidate:
    shares = {
        code: float(each.left_by[candidate.cause])
        for code, each in written.items()
        if candidate.cause in each.left_by
    }
    return replace(candidate, likely=MappingProxyType({**candidate.likely, **shares}))


def _only(place: str, row: Mapping[str, Any], known: Sequence[str]) -> None:
    unknown = [name for name in row if name not in known]
    if unknown:
        raise ParameterError(
            f"{place}: {', '.join(unknown)} means nothing here; known are {', '.join(known)}"
        )


def _texts(place: str, name: str, value: Any) -> tuple[str, ...]:
    if not isinstance(value, list) or not all(isinstance(each, str) for each in value):
        raise ParameterError(f"{place}: {name} is {value!r}; expected a list of words")
    return tuple(value)


def _one_of(place: str, name: str, value: Any, known: Sequence[str]) -> str:
    if not isinstance(value, str) or value not in known:
        listed = ", ".join(each or '""' for each in known)
        raise ParameterError(f"{place}: {name} is {value!r}; expected one of {listed}")
    return value


def _number(value: Any) -> float:
    """The number a row gives; NaN, which lies in no interval, where it gives none."""
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    return float(value) if is_number else nan


def _share(place: str, name: str, value: Any) -> float:
    """A chance that leaves both answers possible: 0 or 1 could never be outweighed."""
    share = _number(value)
    if not 0.01 <= share <= 0.99:
        raise ParameterError(f"{place}: {name} is {value!r}; expected a number in [0.01, 0.99]")
    return share
