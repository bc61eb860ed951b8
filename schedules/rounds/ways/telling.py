"""What is on record of ways, in sentences, alike on a page and on a terminal."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from schedules.rounds.ways.importing import TravelReport
from schedules.rounds.ways.looking import DETOUR_SHARE, UNLIKE_MIN, UNLIKE_SHARE, Looked, Way
from schedules.rounds.ways.places import Key

MOST = 10
"""So many of a kind are named, the rest counted."""


def report_texts(report: TravelReport, most: int = MOST) -> Iterator[str]:
    """What a file changes, then how all ways stand with it; of a kind the first ``most``."""
    if report.changed:
        yield ngettext(
            "One way on record changes.", "{count} ways on record change.", report.changed
        ).format(count=report.changed)
    if report.blank:
        yield ngettext(
            "One row without minutes was left out.",
            "{count} rows without minutes were left out.", report.blank,
        ).format(count=report.blank)  # fmt: skip
    if report.estimated:
        yield ngettext(
            "One way came without a distance, which is estimated.",
            "{count} ways came without a distance, which is estimated.", report.estimated,
        ).format(count=report.estimated)  # fmt: skip
    if report.looked is not None:
        yield from looked_texts(report.looked, most)


def looked_texts(looked: Looked, most: int = MOST) -> Iterator[str]:
    """All that ``looked_groups`` says, line by line."""
    for sentence, lines in looked_groups(looked, most):
        yield sentence
        yield from lines


def looked_groups(looked: Looked, most: int = MOST) -> Iterator[tuple[str, list[str]]]:
    """What there is, what lacks, what has moved, what looks doubtful: each with its ways."""
    told = _("{known} of {wanted} ways among {places} places are on record.")
    known = len(looked.ways)
    yield told.format(known=known, wanted=looked.wanted, places=len(looked.keys)), []
    if lacking := looked.wanted - known:
        told = ngettext(
            "One way lacks: planning estimates it by the great circle.",
            "{count} ways lack: planning estimates them by the great circle.", lacking,
        )  # fmt: skip
        yield told.format(count=lacking), []
    if looked.moved:
        told = _(
            "Moved since their ways were told, which hold no more: {places}. Bring them again."
        )
        yield told.format(places=", ".join(map(looked.places.name, looked.moved))), []
    if looked.short:
        told = ngettext(
            "One distance is shorter than the straight line; check its unit and its places:",
            "{count} distances are shorter than the straight line; check units and places:",
            len(looked.short),
        )
        yield told.format(count=len(looked.short)), _some(_short_line, looked, looked.short, most)
    if looked.unlike:
        yield _unlike_text(looked), _some(_unlike_line, looked, looked.unlike, most)
    if looked.longer:
        yield _longer_text(looked), _some(_longer_line, looked, looked.longer, most)


def way_text(looked: Looked, way: Way) -> str:
    """``Quay Street to base of Jo Park``."""
    start, end = map(looked.places.name, way)
    return _("{start} to {end}").format(start=start, end=end)


def _short_line(looked: Looked, way: Way, metres: float, straight: float) -> str:
    told = _("{way}: {km} km, straight {straight} km.")
    km = f"{metres / 1000:.3g}"
    return told.format(way=way_text(looked, way), km=km, straight=f"{straight / 1000:.3g}")


def _unlike_text(looked: Looked) -> str:
    told = ngettext(
        "There and back differ on one way by more than {share} % and {minutes} min:",
        "There and back differ on {count} ways by more than {share} % and {minutes} min:",
        len(looked.unlike),
    )
    return told.format(
        count=len(looked.unlike), share=f"{100 * UNLIKE_SHARE:g}", minutes=f"{UNLIKE_MIN:g}"
    )


def _unlike_line(looked: Looked, way: Way, there: float, back: float) -> str:
    told = _("{way} {there} min, back {back} min.")
    return told.format(way=way_text(looked, way), there=f"{there:g}", back=f"{back:g}")


def _longer_text(looked: Looked) -> str:
    told = ngettext(
        "One way is longer than over another place by more than {share} % and {minutes} min:",
        "{count} ways are longer than over another place by more than {share} % and {minutes} min:",
        len(looked.longer),
    )
    return told.format(
        count=len(looked.longer), share=f"{100 * DETOUR_SHARE:g}", minutes=f"{UNLIKE_MIN:g}"
    )


def _longer_line(looked: Looked, way: Way, over: Key, saved: float) -> str:
    told = _("{way}: over {place} it would be {minutes} min less.")
    place = looked.places.name(over)
    return told.format(way=way_text(looked, way), place=place, minutes=f"{saved:.3g}")


def _some(
    line: Callable[..., str], looked: Looked, found: Sequence[tuple[Any, ...]], most: int
) -> list[str]:
    """A line for each of the first, and how many more there are."""
    lines = [line(looked, *each) for each in found[:most]]
    if left := len(found) - len(lines):
        lines.append(ngettext("… and one more.", "… and {count} more.", left).format(count=left))
    return lines
