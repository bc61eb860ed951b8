"""What somebody who writes a finding most likely picks: by item, by what was looked at, by answer.

Only the order of a list hangs on it, and it counts for nothing: causes and mechanisms of an item
come in the order of the table of causes; modes and what an answer suggests are common practice, no
source.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from schedules.engine.causes import default_table
from schedules.engine.causes.table import Candidate

Codes = Mapping[str, tuple[str, ...]]
MOST = 6

MODES: Codes = {
    "supply": ("PDE", "NOO", "ERO"), "motor": ("FTS", "UST", "OHE", "NOI", "BRD"),
    "overload": ("SPO", "FTF"), "breaker": ("SPO", "FTS"), "switch": ("FTS", "SPO", "OHE", "STP"),
    "capacitor": ("FTS", "LOO", "BRD"), "wheel": ("VIB", "LOO", "STD", "PLU"),
    "shaft": ("BRD", "STD", "VIB", "NOI"), "duct": ("PLU", "ELP"),
    "housing": ("STD", "ELP", "PLU"), "feed": ("OHE", "NOO", "STD"),
    "belt": ("BRD", "LOO", "NOI"), "sheaves": ("VIB", "NOI", "STD"),
    "drive": ("UST", "FTS", "ERO"), "bearings": ("NOI", "VIB", "OHE", "FRO"),
    "hinge": ("STD", "BRD"), "catch": ("STD", "FTF"), "cable": ("STD", "UST"),
    "grease_box": ("PLU", "ELP"), "guard": ("STD",), "curb": ("STD", "ELU"),
    "hood_switch": ("FTF", "SPO"), "heat_sensor": ("FTF", "SPO"),
    "make_up_air": ("FTS", "LOO", "NOO"), "fire_system": ("FTF",),
    "machine": ("FRO", "NOO", "UST", "FTS"), "hour_meter": ("AIR",), "conduit": ("STD",),
    "running": ("FTS", "UST", "NOO", "FRO"), "noise": ("NOI",), "vibration": ("VIB",),
    "vibration_felt": ("VIB",), "motor_vents": ("PLU", "OHE"), "rotation": ("LOO",),
    "corrosion": ("STD",), "belt_deflection": ("LOO", "NOI"), "temperature_difference": ("OHE",),
}  # fmt: skip
"""Failure modes by item, and by what was looked at where that says more."""
MECHANISMS_SEEN: Codes = {
    "worn": ("wear",), "stretched": ("wear", "deformation"), "bare": ("wear", "breakage"),
    "damaged": ("breakage", "impact"), "broken": ("breakage", "fatigue"),
    "cracked": ("fatigue", "breakage"), "glazed": ("wear", "overheating"),
    "missing": ("breakage", "loosening"), "loose": ("looseness", "loosening"),
    "found_loose": ("loosening", "looseness"), "open": ("looseness", "breakage"),
    "dusty": ("contamination",), "plugged": ("blockage", "contamination"),
    "dirty": ("contamination",), "full": ("blockage",), "overflowing": ("blockage", "leakage"),
    "dented": ("deformation", "impact"), "rubbing": ("misalignment", "deformation"),
    "uneven": ("misalignment", "deformation"), "touching": ("misalignment", "deformation"),
    "surface": ("corrosion",), "deep": ("corrosion",), "holed": ("corrosion",),
    "noisy": ("wear", "contamination"), "grinding": ("wear", "seizure"),
    "hot": ("overheating",), "rough": ("wear", "contamination"), "leaking": ("leakage",),
    "slight": ("vibration",), "strong": ("vibration", "looseness"),
    "violent": ("vibration", "looseness"), "bulged": ("overheating", "burst"),
    "wrong": ("out_of_adjustment",),
}  # fmt: skip
"""Mechanisms by the answer given of what was looked at."""


@cache
def tell_likely() -> dict[str, dict[str, list[str]]]:
    """Codes of modes, mechanisms and causes by item, of mechanisms by answer, likeliest first."""
    table = default_table()
    return {
        "failure_modes": {code: list(modes) for code, modes in MODES.items()},
        "seen": {state: list(terms) for state, terms in MECHANISMS_SEEN.items()},
        "mechanisms": {
            item: _mechanisms(each, table.mechanisms) for item, each in table.candidates.items()
        },
        "causes": {item: _causes(each) for item, each in table.candidates.items()},
    }


def _causes(candidates: tuple[Candidate, ...]) -> list[str]:
    return [each.cause for each in sorted(candidates, key=lambda each: -each.weight)][:MOST]


def _mechanisms(candidates: tuple[Candidate, ...], terms: Mapping[str, str]) -> list[str]:
    """By how often the item's causes leave each behind; of terms that say alike the first."""
    first = {piece: term for term, piece in reversed(list(terms.items()))}
    score = {term: _left_behind(candidates, piece) for piece, term in first.items()}
    return sorted((term for term in score if score[term]), key=lambda term: -score[term])[:MOST]


def _left_behind(candidates: tuple[Candidate, ...], piece: str) -> float:
    return sum(each.weight * each.likely.get(piece, 0.0) for each in candidates)
