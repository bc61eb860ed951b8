"""A judgement as a sentence of the trade: figures with units, the limit, where it comes from."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.utils.translation import gettext as _

from fleet.quantities import GREASE_PLACES, item_of
from fleet.refusals import Said
from visits.limits import Basis, Judgement
from visits.wording.figures import figure, figures, number_text
from visits.wording.names import (
    DETECTORS,
    MISSING,
    PLACES,
    QUALIFIERS,
    STANDINGS,
    STATES,
    subject_words,
    upper_first,
    words,
)
from visits.wording.owners import (
    LEFT_SO,
    NO_BELT,
    OTHERWISE,
    OWNER_MEASURED,
    OWNER_SEEN,
    OWNER_SUBJECTS,
    OWNER_VERDICTS,
)
from visits.wording.sentences import BECAUSE, CANNOT, MEASURED, SEEN

_BY_RATING = ("amps", "overload", "breaker")
_CODES = {"because": BECAUSE, "qualifier": QUALIFIERS, "detector": DETECTORS}
_LISTS = {"volts": "V", "legs": "A", "poles": "ohm"}
_UNITS = {
    "low": "V", "high": "V", "suggested_v": "V", "service_volts": "V", "full_load_a": "A",
    "hard_start_a": "A", "temperature_c": "C", "table_a": "A",
    "power_hp": "hp", "plate_uf": "uF", "limit_um": "um",
}  # fmt: skip


def judgement_sentence(judgement: Judgement) -> str:
    """What was read or seen and what it means, in one or two sentences."""
    pattern = _pattern(judgement)
    if pattern is None:
        state = words(STATES, str(judgement.value))
        return upper_first(f"{subject_words(judgement.subject)}: {state}.")
    told = upper_first(pattern.format_map(_Figures(judgement)))
    if judgement.subject in _BY_RATING and judgement.args.get("suggested"):
        told += " " + _("Nobody has recorded seeing, at the connections, which rating is in use.")
    return told


def owner_sentence(judgement: Judgement) -> str:
    """The same for an owner; what is *within* or cannot be judged reads as it does for all."""
    for table in (OWNER_MEASURED, OWNER_SEEN):
        if judgement.code in table:
            return upper_first(str(table[judgement.code]).format_map(_Figures(judgement)))
    return judgement_sentence(judgement)


def fault_for_owner(item: str, verdict: str) -> str:
    """A fault that somebody wrote down, by what it is about and how bad it is."""
    return words(OWNER_VERDICTS, verdict).format(item=upper_first(owner_subject(item)))


def owner_subject(subject: str) -> str:
    """A subject or item for an owner: ``the fan's base``."""
    name = "vibration" if subject.startswith("vibration_") else subject
    return words(OWNER_SUBJECTS, name if name in OWNER_SUBJECTS else item_of(name))


def no_belt_text() -> str:
    """That a belt was told of a fan that has none by the register, for an owner."""
    return str(NO_BELT)


def left_so(item: str) -> str:
    """What may come of it if nothing is done, for an owner."""
    return words(LEFT_SO, item) if item in LEFT_SO else str(OTHERWISE)


def basis_words(basis: Basis) -> str:
    """Where a limit comes from: standard, clause, edition and how well it is known."""
    standing = words(STANDINGS, basis.standing)
    if basis.standard == basis.standing:
        return standing
    parts = [part for part in (basis.standard, basis.clause, basis.edition) if part]
    return f"{', '.join(parts)} ({standing})"


def _pattern(judgement: Judgement) -> str | None:
    code = judgement.code
    if code == "missing" and judgement.args.get("unreadable"):
        code = "missing.unreadable"
    for table in (CANNOT, MEASURED, SEEN):
        if code in table:
            return words(table, code)
    return None


class _Figures(dict[str, str]):
    """What a sentence names of a judgement; most sentences name little of what there is."""

    def __init__(self, judgement: Judgement) -> None:
        super().__init__(_clauses(judgement))
        self._judgement = judgement

    def __missing__(self, name: str) -> str:
        judged = self._judgement
        match name:
            case "subject":
                return subject_words(judged.subject)
            case "value":
                return _sign(judged) + figure(judged.value, judged.unit)
            case "limit":
                return figure(judged.limit, judged.unit)
            case "place":
                return _place(judged)
        return _argument(name, judged.args[name], judged.unit)


def _argument(name: str, value: Any, unit: str) -> str:
    """One argument ready for its sentence."""
    if name in ("missing", "unreadable"):
        return _and(words(MISSING, part) for part in value)
    if name in _LISTS:
        return (
            figures(value, _LISTS[name]) if isinstance(value, (tuple, list)) else figure(value, "V")
        )
    if name == "values":
        return figures(value, "ohm")
    if name in _CODES:
        return words(_CODES[name], str(value))
    if isinstance(value, Said):
        return "; ".join(value.told_by(_))
    if name in ("mounting", "place", "error"):
        return str(value).rstrip(".")
    if name == "percent":
        return _off(value)
    if name in ("expected", "span"):
        return figure(value, unit)
    if name in _UNITS or isinstance(value, float):
        return figure(value, _UNITS.get(name, ""))
    return str(value)


def _off(percent: float | None) -> str:
    """How far a part lies from its mark: ``13 % below``."""
    if percent is None:
        return _("an unknown share off")
    share = figure(round(abs(percent), 1), "%")
    if share == figure(0.0, "%"):
        return _("{share} off").format(share=share)
    return (_("{share} below") if percent < 0 else _("{share} above")).format(share=share)


def _and(parts: Iterable[str]) -> str:
    listed = list(parts)
    if len(listed) < 2:
        return "".join(listed)
    return _("{some} and {last}").format(some=", ".join(listed[:-1]), last=listed[-1])


def _place(judgement: Judgement) -> str:
    """The place of a grease comb, or the point of a vibration."""
    quantity = judgement.quantity
    if judgement.subject == "vibration":
        point = quantity.removeprefix("vibration_").removesuffix("_mm_s")
        return subject_words(f"vibration_{point}")
    place = next((p for p in GREASE_PLACES if quantity.startswith(f"grease_{p}_")), "")
    return words(PLACES, place)


def _clauses(judgement: Judgement) -> dict[str, str]:
    """Parts of a sentence that are said only where there is something to say."""
    args = judgement.args
    clauses = dict.fromkeys(("heat", "derating", "full_load", "ways", "guidance"), "")
    clauses["category"] = ""
    if args.get("extra_heat_percent"):
        heat = number_text(round(args["extra_heat_percent"], 1))
        clauses["heat"] = _(", about {heat} % more heat").format(heat=heat)
    if args.get("derating"):
        share = number_text(round(args["derating"], 2))
        clauses["derating"] = _(", good for {share} of its power only").format(share=share)
    if judgement.code == "amps.above_full_load":
        clauses["full_load"] = _full_load(judgement)
    if args.get("guidance"):
        clauses["guidance"] = _("; guidance only for so small a motor")
    if args.get("category"):
        clauses["category"] = f" ({args['category']}, {_mounting(args['mounting'])})"
    if "thermoplastic_megohm" in args:
        plastic, setting = args["thermoplastic_megohm"], args["thermosetting_megohm"]
        worse = [megohm for megohm in (plastic, setting) if megohm is not None]
        clauses["corrected"] = _sign(judgement) + figure(min(worse, default=None), "megohm")
        clauses["ways"] = _ways(plastic, setting)
    return clauses


def _sign(judgement: Judgement) -> str:
    """What stands before a value that is only bounded: ``> 0.7 in/s``."""
    signs = {"<": "< ", ">": "> ", "over": "> "}
    return signs.get(judgement.qualifier, "") if judgement.value is not None else ""


def _full_load(judgement: Judgement) -> str:
    """How the most a leg may carry follows from the plate."""
    args = judgement.args
    if judgement.limit is not None and judgement.limit > args["full_load_a"]:
        return _(", full load {full_load_a} times the service factor {service_factor}").format(
            full_load_a=figure(args["full_load_a"], "A"),
            service_factor=figure(args["service_factor"]),
        )
    if args["service_factor"] <= 1:
        return _(", full load")
    if args["volts_known"]:
        return _(", full load (a line is off its rating, so the service factor does not count)")
    return _(", full load (volts were not measured, so the service factor does not count)")


def _mounting(mounting: str) -> str:
    return _("flexible mounting") if mounting == "flexible" else _("rigid mounting")


def _ways(thermoplastic: float | None, thermosetting: float | None) -> str:
    """Both temperature corrections, of which the worse counts."""
    if thermoplastic is None or thermosetting is None:
        return ""
    return _(" (the worse of {plastic} thermoplastic and {setting} thermosetting)").format(
        plastic=figure(thermoplastic, "megohm"), setting=figure(thermosetting, "megohm")
    )
