"""Ranks the causes that a failure may have had: naive Bayes over what is on record, hedged.

Odds of each cause are its prior, updated by the causes confirmed in this fleet (Dirichlet counts),
times the likelihood ratio of each piece of evidence against its usual share; pieces that tell the
same thing stand in one group, of which only the strongest counts.  Whatever is not known moves
nothing, and part of the odds always stays with something not on the list.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import exp, inf, log, log2

from fleet.quantities import QUANTITIES
from schedules.engine.causes.evidence import evidence_of
from schedules.engine.causes.looking import TURNING
from schedules.engine.causes.record import SINGLE_PHASE, Past
from schedules.engine.causes.table import Candidate, LookFor, Table, default_table
from schedules.engine.errors import ParameterError
from schedules.engine.settable import Group, number

UNLISTED = ""
MAY_HAVE_CAPACITOR = frozenset({"", "psc", "other", SINGLE_PHASE})
MOST_LOOKS = 3
NEVER_ALONE = frozenset({"failed_again"})
"""Says that something lasts, not what: shown beside other support, never as all there is."""
WEAK_ALONE = frozenset({"machine_changed", "part_new", "seized"})
"""Says when something began, or how the part was found, not what did it: as all there is it makes a
cause at most possible."""
BANDS = ("most_likely", "likely", "possible", "not_shown")


@dataclass(frozen=True)
class CauseParams(Group):
    """How odds are told in words; all our choice.

    A cause is at most *possible* unless its supporting evidence is there ``supported`` times as
    often as elsewhere, and *not shown* without any.  ``most_unlisted`` is the share, before any
    evidence, that causes on no list come to however often *other* was written down: it says what a
    failure was not of, and must not hide what is seen of this one.
    """

    most_likely: float = number(0.5, "", (0.34, 0.99))
    likely: float = number(0.3, "", (0.05, 0.9))
    possible: float = number(0.08, "", (0.01, 0.5))
    supported: float = number(2.0, "", (1.1, 20))
    unlisted_share: float = number(0.2, "", (0.02, 0.9))
    always_unlisted: float = number(0.05, "", (0.01, 0.5))
    most_unlisted: float = number(0.6, "", (0.02, 0.95))
    prior_failures: float = number(10.0, "failures", (1, 1000))

    def __post_init__(self) -> None:
        super().__post_init__()
        if not self.possible < self.likely < self.most_likely:
            raise ParameterError(
                f"the bands are {self.possible:g}, {self.likely:g}, {self.most_likely:g}; expected "
                "possible below likely below most_likely"
            )


DEFAULT_CAUSE_PARAMS = CauseParams()


@dataclass(frozen=True)
class Ranked:
    """One cause with its chance in (0, 1) and its word; what speaks for it and against it.

    ``confirmed`` counts how often people wrote this cause down for this item in the fleet.
    """

    cause: str
    chance: float
    band: str
    speaks_for: tuple[str, ...]
    speaks_against: tuple[str, ...]
    standing: str
    confirmed: int


@dataclass(frozen=True)
class WhyFailed:
    """Causes of one failure, likeliest first; never determined by this.

    ``unlisted`` is the chance left for something not on the list.  ``trouble`` says why there is
    no list: ``no_table`` for an item nobody wrote causes for, ``not_on_this_machine`` where the
    register says that the machine has no such part.
    """

    item: str
    causes: tuple[Ranked, ...]
    unlisted: float
    looks: tuple[LookFor, ...] = ()
    known: Mapping[str, bool] | None = None
    trouble: str = ""


def why_failed(
    past: Past,
    confirmed: Mapping[str, int] | None = None,
    *,
    qualified: bool = False,
    table: Table | None = None,
    params: CauseParams = DEFAULT_CAUSE_PARAMS,
) -> WhyFailed:
    """What may have made the item of ``past`` fail, and up to three things to look at next.

    ``confirmed`` counts causes people recorded for this item in this fleet, causes on no list
    under ``UNLISTED``.  Live looks are only offered to somebody ``qualified`` for energised work.
    Raises ParameterError for a negative count.
    """
    table = table or default_table()
    counts = confirmed or {}
    if any(count < 0 for count in counts.values()):
        raise ParameterError(f"confirmed causes are {dict(counts)}; expected counts from 0")
    listed = table.candidates.get(past.item, ())
    trouble = _trouble(past, listed)
    if trouble:
        return WhyFailed(past.item, (), 1.0, trouble=trouble)
    candidates = [each for each in listed if _is_possible(each, past)]
    # What other machines failed of and this one cannot have tells nothing of this one.
    foreign = {each.cause for each in listed} - {each.cause for each in candidates}
    counts = {cause: count for cause, count in counts.items() if cause not in foreign}
    known = _known(past, table)
    chances = _chances(candidates, known, counts, table, params)
    ranked = sorted(
        (_ranked(each, chances[each.cause], known, counts, table, params) for each in candidates),
        key=lambda cause: (BANDS.index(cause.band), -cause.chance, cause.cause),
    )
    looks = _next_looks(past, candidates, chances, known, table, qualified=qualified)
    return WhyFailed(past.item, tuple(ranked), chances[UNLISTED], looks, known)


def _known(past: Past, table: Table) -> dict[str, bool]:
    """Evidence of the record, and the mechanism that somebody wrote down: it denies no other.

    Vibration written of what turns and failed is its failure itself, as it is where it was seen.
    """
    written = table.mechanisms.get(past.mechanism)
    if written is None or (past.item in TURNING and past.mechanism == "vibration"):
        return evidence_of(past)
    return evidence_of(past) | {written: True}


def _trouble(past: Past, listed: tuple[Candidate, ...]) -> str:
    if not listed:
        return "no_table"
    return "" if any(_has_all(each, past) for each in listed) else "not_on_this_machine"


def _is_possible(candidate: Candidate, past: Past) -> bool:
    fits = not (past.mode and candidate.modes) or past.mode in candidate.modes
    return fits and _has_all(candidate, past)


def _has_all(candidate: Candidate, past: Past) -> bool:
    return all(_has(need, past) for need in candidate.needs)


def _has(needs: str, past: Past) -> bool:
    """Whether the machine may be what a cause needs; what nobody recorded may be."""
    motor, control = past.motor_type, past.control
    return {
        "belt": past.belt_drive is not False,
        "three_phase": motor in ("", "three_phase", "other"),
        "capacitor": motor in MAY_HAVE_CAPACITOR,
        "wound": motor != "ec",
        "greased": past.bearings != "sealed",
        "triac": control in ("", "triac"),
        "drive": control in ("", "drive", "drive_bypassed"),
        "not_renewed": not past.renewed_after(),
    }[needs]


def _chances(
    candidates: list[Candidate],
    known: Mapping[str, bool],
    counts: Mapping[str, int],
    table: Table,
    params: CauseParams,
) -> dict[str, float]:
    """Chances of the causes and of ``UNLISTED``, which sum to 1."""
    whole = sum(each.weight for each in candidates)
    share = 1 - params.unlisted_share
    prior = {each.cause: share * each.weight / whole for each in candidates}
    prior[UNLISTED] = params.unlisted_share
    elsewhere = sum(count for cause, count in counts.items() if cause not in prior)
    seen = {cause: float(counts.get(cause, 0)) for cause in prior}
    seen[UNLISTED] += elsewhere
    counted = {cause: prior[cause] * params.prior_failures + seen[cause] for cause in prior}
    odds = {cause: log(weight) for cause, weight in _held_down(counted, params).items()}
    for each in candidates:
        odds[each.cause] += sum(_weights(each, known, table).values())
    highest = max(odds.values())
    parts = {cause: exp(value - highest) for cause, value in odds.items()}
    total, kept = sum(parts.values()), 1 - params.always_unlisted
    chances = {cause: kept * part / total for cause, part in parts.items()}
    chances[UNLISTED] += params.always_unlisted
    return chances


def _held_down(weights: Mapping[str, float], params: CauseParams) -> Mapping[str, float]:
    """With no more left to causes on no list than ``most_unlisted``."""
    listed = sum(weight for cause, weight in weights.items() if cause != UNLISTED)
    share = max(params.most_unlisted, params.unlisted_share)
    most = listed * share / (1 - share) if listed else inf
    return {**weights, UNLISTED: min(weights[UNLISTED], most)}


def _weights(candidate: Candidate, known: Mapping[str, bool], table: Table) -> dict[str, float]:
    """Log likelihood ratios of what is known, the strongest of each group, by piece.

    A mechanism written down and a look that denies it tell two things: both count.
    """
    strongest: dict[tuple[str, bool], tuple[str, float]] = {}
    written = set(table.mechanisms.values()) & known.keys() & candidate.likely.keys()
    disputed = {table.evidence[code].group for code in written}
    for code, there in known.items():
        if code in candidate.likely:
            weight = _ratio(candidate.likely[code], table.evidence[code].usual, there=there)
            group, is_look = table.evidence[code].group, bool(table.evidence[code].look)
            told = group, group in disputed and is_look and weight < 0
            if abs(weight) > abs(strongest.get(told, ("", 0.0))[1]):
                strongest[told] = (code, weight)
    return dict(strongest.values())


def _ratio(likely: float, usual: float, *, there: bool) -> float:
    return log(likely / usual) if there else log((1 - likely) / (1 - usual))


def _ranked(
    candidate: Candidate,
    chance: float,
    known: Mapping[str, bool],
    counts: Mapping[str, int],
    table: Table,
    params: CauseParams,
) -> Ranked:
    weights = _weights(candidate, known, table)
    by_weight = sorted(weights.items(), key=lambda each: -abs(each[1]))
    # Only what is there supports a cause; what is missing elsewhere proves nothing for it.
    support = tuple(code for code, weight in by_weight if weight > 0 and known[code])
    against = tuple(code for code, weight in by_weight if weight < 0)
    band = _band(chance, _held(support, weights), params)
    is_seen = any(table.evidence[code].look for code in support)
    return Ranked(
        candidate.cause,
        chance,
        # what the register holds, or one word that somebody wrote, makes nothing surer
        "likely" if band == "most_likely" and not is_seen else band,
        support,
        against,
        candidate.standing,
        counts.get(candidate.cause, 0),
    )


def _held(support: tuple[str, ...], weights: Mapping[str, float]) -> float:
    """How much more often what supports a cause is there with it than elsewhere."""
    if NEVER_ALONE.issuperset(support):
        return 0.0
    held = exp(sum(weights[code] for code in support))
    weak = (NEVER_ALONE | WEAK_ALONE).issuperset(support)
    return min(held, 1.0) if weak else held


def _band(chance: float, support: float, params: CauseParams) -> str:
    if not support or chance < params.possible:
        return "not_shown"
    if support < params.supported or chance < params.likely:
        return "possible"
    return "most_likely" if chance >= params.most_likely else "likely"


def _next_looks(
    past: Past,
    candidates: list[Candidate],
    chances: Mapping[str, float],
    known: Mapping[str, bool],
    table: Table,
    *,
    qualified: bool,
) -> tuple[LookFor, ...]:
    """Looks not made yet by what they are expected to tell, in bits; most telling first."""
    tells: dict[str, float] = {}
    for code, piece in table.evidence.items():
        look = table.looks.get(piece.look)
        if look is None or code in known or (look.live and not qualified):
            continue
        bits = _information(code, piece.usual, candidates, chances)
        tells[look.code] = max(bits, tells.get(look.code, -inf))
    worth = sorted((-bits, code) for code, bits in tells.items() if bits > LEAST_BITS)
    return tuple(table.looks[code] for _bits, code in worth if _fits(code, past))[:MOST_LOOKS]


LEAST_BITS = 0.003
"""A look that tells less is not worth a sentence; our choice."""
_READS = {
    "test_insulation": "insulation_megohm", "measure_windings": "insulation_megohm",
    "read_overload": "overload_setting_a", "measure_capacitor": "capacitor_uf",
    "measure_belt": "belt_deflection_mm", "see_belt": "belt", "see_sheaves": "sheaves",
}  # fmt: skip
"""Looks that not every fan allows, with the reading of which the registry says which do."""


_TELLS_EARLIER_ONLY = {"see_hinge": "hinge", "see_cable": "cable"}
"""Looks at an item whose own failure is no evidence of why (``earlier_state``): too late now."""


def _fits(look: str, past: Past) -> bool:
    """Whether the machine has it, and allows it: no winding is tested through electronics."""
    if look not in _READS:
        return _TELLS_EARLIER_ONLY.get(look) != past.item
    asked = QUANTITIES[_READS[look]]
    return (
        not (asked.belt_only and past.belt_drive is False)
        and past.motor_type in ("", SINGLE_PHASE, *asked.motors)
        and past.control in ("", *asked.controls)
    )


def _information(
    code: str, usual: float, candidates: list[Candidate], chances: Mapping[str, float]
) -> float:
    """Expected drop of the entropy of the cause by knowing whether the piece is there [bit]."""
    given = {each.cause: each.likely.get(code, usual) for each in candidates}
    given[UNLISTED] = usual
    there = sum(chances[cause] * share for cause, share in given.items())
    return _entropy(there) - sum(
        chances[cause] * _entropy(share) for cause, share in given.items()
    )  # fmt: skip


def _entropy(share: float) -> float:
    return -sum(part * log2(part) for part in _both(share))


def _both(share: float) -> Iterator[float]:
    yield from (part for part in (share, 1 - share) if part > 0)
