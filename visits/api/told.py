"""Checks and their judgements as the API tells them: codes and figures, and a sentence of each."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache
from math import isfinite
from typing import Any
from urllib.parse import quote

from django.utils.functional import Promise
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from fleet.quantities import VERDICT_ORDER
from visits.limits import Basis, Judgement
from visits.payload import Complaint
from visits.payload.complaints import Listed
from visits.services.cautions import Caution
from visits.services.rows import NewCheck
from visits.wording import basis_words, caution_words, judgement_sentence, left_out_text

Told = dict[str, Any]
Fan = Mapping[str, Any]
"""A fan as named everywhere: its id and tag."""
LISTS: Mapping[Listed, str | Promise] = {
    "words": _("all listed at /api/v1/"), "sites": _("all listed by GET /api/v1/sites"),
    "systems": _("all listed by GET /api/v1/systems"),
    "fans": _("all listed by GET /api/v1/fans"),
}  # fmt: skip
"""Where whoever asks the API finds what a remedy leaves out."""


def tell_judgement(judgement: Judgement) -> Told:
    """One verdict with all its reasons; ``value`` and ``limit`` are in ``unit``."""
    return {
        "subject": judgement.subject,
        "item": judgement.item,
        "quantity": judgement.quantity,
        "code": judgement.code,
        "verdict": judgement.verdict,
        "value": plain(judgement.value),
        "unit": judgement.unit,
        "limit": plain(judgement.limit),
        "sentence": str(judgement_sentence(judgement)),
        "basis": _tell_basis(judgement.basis, get_language()),
        "arguments": {name: plain(value) for name, value in judgement.args.items()},
    }


@lru_cache(maxsize=512)
def _tell_basis(basis: Basis, _language: str | None) -> Told:
    """A limit has one basis, which every reading held against it repeats; never changed."""
    return {**basis._asdict(), "sentence": str(basis_words(basis))}


def tell_judged(check: NewCheck, fan: Fan, kind: str) -> Told:
    """A check's verdicts; of a walk-through also what was left out of its list."""
    walked = kind == "walk_through" and check.row.stage == "as_found"
    left_out = check.left_out if walked else ()
    return {
        "fan": fan,
        "stage": check.row.stage,
        "worst": worst_of(check.judgements),
        "judgements": [tell_judgement(each) for each in check.judgements],
        "left_out": list(left_out),
        "left_out_sentence": str(left_out_text(left_out)) if left_out else "",
    }


def worst_of(judgements: Iterable[Judgement]) -> str:
    """The worst verdict; *within* only where nothing that was told could not be judged."""
    verdicts = {each.verdict for each in judgements}
    unjudged = "cannot_judge" in verdicts
    worst = max(verdicts, key=lambda verdict: VERDICT_ORDER[verdict], default="")
    return "cannot_judge" if unjudged and worst == "within" else worst


def tell_cautions(cautions: Iterable[Caution]) -> list[Told]:
    """What somebody should be told about how a visit was made."""
    return [{"code": code, "sentence": caution_words(code, sent)} for code, sent in cautions]


def fault_of(told: Complaint) -> dict[str, str]:
    """A complaint as a problem tells it."""
    told = told.told_at(LISTS)
    # A misspelt key is part of its pointer and may hold anything, lone surrogates too.
    pointer = quote(told.pointer, safe="/~!$&'()*+,;=:@", errors="replace")
    fault = {"pointer": f"#{pointer}", "problem": told.problem, "remedy": told.remedy}
    return {**fault, "seen": told.seen} if told.seen else fault


def plain(value: Any) -> Any:
    """A value as JSON has it: no tuples, no infinities; an open end is null."""
    if isinstance(value, float):
        # 0.9 x 208 V is 187.2 and not 187.20000000000002; no meter has twelve digits.
        return float(f"{value:.12g}") if isfinite(value) else None
    if isinstance(value, (tuple, list, set, frozenset)):
        listed = sorted(value) if isinstance(value, (set, frozenset)) else value
        return [plain(each) for each in listed]
    return value if value is None or isinstance(value, (bool, int, str)) else str(value)
