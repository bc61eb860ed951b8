"""Limits in words before anything is read: ``207 to 253 V, else act``."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _

from visits.limits import Ahead
from visits.limits.basis import CONFIRMED
from visits.wording.figures import figure, number_text
from visits.wording.judgements import judgement_sentence
from visits.wording.names import DETECTORS, STANDINGS, VERDICTS, words


def limits_text(ahead: Ahead) -> str:
    """What a reading may be, then from where it is watched, acted on or a stop; else why not."""
    if ahead.cannot is not None:
        return judgement_sentence(ahead.cannot)
    if "within" not in ahead.verdicts:
        return ", ".join(_above(ahead, 0))
    place = ahead.verdicts.index("within")
    within = _within(ahead, place)
    if ahead.verdicts == ("act", "within", "act"):
        return _("{within}, else act").format(within=within)
    return ", ".join([within, *_below(ahead, place), *_above(ahead, place)])


def _within(ahead: Ahead, place: int) -> str:
    low = ahead.cuts[place - 1] if place else None
    high = ahead.cuts[place] if place < len(ahead.cuts) else None
    if high is None:
        return _("from {low}").format(low=_figure(ahead, low))
    if low is not None:
        return _("{low} to {high}").format(low=number_text(low), high=_figure(ahead, high))
    told = _("up to {high}") if ahead.ends_below[place] else _("below {high}")
    return told.format(high=_figure(ahead, high))


def _below(ahead: Ahead, place: int) -> Iterator[str]:
    """Bands under the good one, the nearest first."""
    for at in range(place - 1, -1, -1):
        yield _("{verdict} below {cut}").format(
            verdict=words(VERDICTS, ahead.verdicts[at]), cut=number_text(ahead.cuts[at])
        )


def _above(ahead: Ahead, place: int) -> Iterator[str]:
    """Bands over the good one, the nearest first."""
    for at in range(place + 1, len(ahead.verdicts)):
        if ahead.cuts[at - 1 : at] == ahead.cuts[at : at + 1]:
            continue  # nothing lies between
        told = _("{verdict} above {cut}") if ahead.ends_below[at - 1] else _("{verdict} from {cut}")
        yield told.format(
            verdict=words(VERDICTS, ahead.verdicts[at]), cut=number_text(ahead.cuts[at - 1])
        )


def _figure(ahead: Ahead, value: float | None) -> str:
    if ahead.unit == "of_lowest":
        return _("{ratio} times the lowest").format(ratio=number_text(value or 0.0))
    detector = words(DETECTORS, ahead.args.get("detector") or "")
    return f"{figure(value, ahead.unit)} {detector}".rstrip()


def limits_note(ahead: Ahead) -> str:
    """What a limit hangs on: full load, volts near the rating, the belt's span, 40 degrees."""
    args = ahead.args
    match ahead.subject:
        case "amps" if args.get("near_v") and args["factor"] > 1:
            low, high = args["near_v"]
            return _(
                "full load {amps}, service factor {factor}; watch only with every line at {low} "
                "to {high}, else act"
            ).format(
                amps=figure(args["full_load_a"], "A"), factor=number_text(args["factor"]),
                low=number_text(low), high=figure(high, "V"),
            )  # fmt: skip
        case "amps" | "overload" if "full_load_a" in args:
            return _("full load {amps}").format(amps=figure(args["full_load_a"], "A"))
        case "belt_deflection" if "span_mm" in args:
            return _("for a span of {span}").format(span=figure(args["span_mm"], "mm"))
        case _point if args.get("stop_basis"):
            return _("the stop is {standing}").format(
                standing=words(STANDINGS, args["stop_basis"].standing)
            )
        case "insulation" if ahead.cuts:
            return _("corrected to 40 °C; take the winding's temperature too")
        case _rest:
            return ""


def short_basis(ahead: Ahead) -> str:
    """``NEMA MG-1, 12.44.1``; how well that is known only where it is not confirmed."""
    if ahead.basis is None:
        return ""
    standing = words(STANDINGS, ahead.basis.standing)
    if ahead.basis.standard == ahead.basis.standing:
        return standing
    source = ", ".join(filter(None, [ahead.basis.standard, ahead.basis.clause]))
    return source if ahead.basis.standing == CONFIRMED else f"{source} ({standing})"
