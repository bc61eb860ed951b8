"""How a verdict is given: by the band a reading falls into, or why there is none."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from fleet.quantities import QUANTITIES, VERDICT_ORDER, Verdict
from visits.limits import judgement as codes
from visits.limits.basis import CHOICE, Basis
from visits.limits.judgement import Judgement
from visits.limits.readings import Bands, Span


def cannot(subject: str, code: str, quantity: str, **args: Any) -> Judgement:
    """A *cannot judge* on ``subject`` with its reason."""
    item = QUANTITIES[quantity].item
    return Judgement(subject, code, "cannot_judge", item, quantity, CHOICE, args=args)


def cannot_missing(
    subject: str, quantity: str, missing: Sequence[str], unreadable: Sequence[str] = ()
) -> Judgement:
    """*Cannot judge* for want of what ``missing`` names; ``unreadable`` are those not legible."""
    return cannot(
        subject, codes.MISSING, quantity, missing=tuple(missing), unreadable=tuple(unreadable)
    )


def cannot_qualified(subject: str, quantity: str, reading: Span) -> Judgement:
    """*Cannot judge*: the values a qualified reading allows have different verdicts."""
    return cannot(subject, codes.QUALIFIED, quantity, qualifier=reading.qualifier)


def in_bands(
    subject: str,
    quantity: str,
    reading: Span,
    bands: Bands,
    verdicts: Sequence[Verdict],
    basis: Basis,
    **args: Any,
) -> Judgement:
    """The judgement of ``reading`` by ``bands``; its limit is the cut on the better side."""
    index = bands.place(reading)
    if index is None:
        return cannot_qualified(subject, quantity, reading)
    return Judgement(
        subject, f"{subject}.{bands.codes[index]}", verdicts[index], QUANTITIES[quantity].item,
        quantity, basis, reading.typed, reading.unit, _limit(bands, verdicts, index), args,
        reading.qualifier,
    )  # fmt: skip


def _limit(bands: Bands, verdicts: Sequence[Verdict], index: int) -> float:
    """The cut above a band that falls short of a better one, else the cut it lies beyond."""
    found = VERDICT_ORDER[verdicts[index]]
    falls_short = any(VERDICT_ORDER[verdict] < found for verdict in verdicts[index + 1 :])
    return bands.cuts[index if falls_short or index == 0 else index - 1]
