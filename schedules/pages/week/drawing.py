"""The drawing of a week's sites and rounds: which days, what each mark says, who is which line."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.models import Site
from schedules.engine import rounds as engine
from schedules.models import PlannedRound, PlannedStop
from schedules.rounds.map import Mark, Way, draw_plan
from schedules.rounds.sheet import LeftLine, WeekSheet
from schedules.wording.bookings import technician_name
from schedules.wording.hours import span_text
from visits.wording import number_text

SHEETS = {"broad": (560.0, 540.0), "narrow": (328.0, 440.0)}
"""Width and most height [px]: one for a desk and one for a phone, where words keep their size."""
PATTERNS = 6
MOST_ROUNDS = 15
"""With more rounds the week is not drawn at once unless asked for; our choice."""
WHOLE = "all"
LATE = (engine.Why.OVERDUE, engine.Why.LAST_CHANCE)


@dataclass(frozen=True)
class LetteredRound:
    """A round by the letter that it has all week, and how its technician's lines are drawn."""

    letter: str
    pattern: int
    row: PlannedRound


def show_drawing(
    sheet: WeekSheet, asked: str | None, today: date, far: Collection[Site] = ()
) -> dict[str, Any] | None:
    """What the page needs to draw the week, or the day or round asked for; None without a plan.

    Sites ``far`` from everywhere are not drawn: all else would shrink to a dot.
    """
    rounds = lettered(sheet.rounds)
    left = _by_site(sheet.left_out)
    if not rounds and not left:
        return None
    shown = asked or shown_unasked(rounds, today)
    drawn = [each for each in rounds if shown in (each.letter, each.row.day.isoformat())]
    if not drawn:
        shown, drawn = WHOLE, rounds
    ways = [_way(each, far) for each in drawn]
    aside = bool(drawn) and shown == drawn[0].letter
    near = (lines for lines in left if lines[0].site not in far)
    others = [*_bases(drawn), *(mark for lines in near if (mark := _left_mark(lines, aside)))]
    sheets = [_on_sheet(name, ways, others) for name in SHEETS] if _has_place(ways, others) else []
    return {
        "sheets": sheets,
        "title": _title(shown, drawn),
        "summary": _summary(ways, len(left)),
        "choices": _choices(rounds, shown),
        "shown": shown,
        "key": _key(drawn),
        "kinds": {each.mark.kind for one in sheets for each in one["plan"].drawn},
        "undrawn": _undrawn([row.site for each in drawn for row in each.row.stops.all()], left),
    }


def _has_place(ways: Sequence[Way], others: Sequence[Mark]) -> bool:
    return bool(others) or any(way.stops for way in ways)


def _on_sheet(name: str, ways: Sequence[Way], others: Sequence[Mark]) -> dict[str, Any]:
    width, most_height = SHEETS[name]
    plan = draw_plan(ways, others, width=width, most_height=most_height)
    return {
        "name": name,
        "plan": plan,
        "km": _("{number} km").format(number=number_text(plan.km.units)),
        "miles": _("{number} mi").format(number=number_text(plan.miles.units)),
    }


def lettered(rows: Sequence[PlannedRound]) -> list[LetteredRound]:
    """The week's rounds as A, B, C in order; whoever has most has the plainest line."""
    counts = Counter(row.technician_id for row in rows)
    patterns = {person: n % PATTERNS for n, (person, _) in enumerate(counts.most_common())}
    return [
        LetteredRound(_letter(n), patterns[row.technician_id], row) for n, row in enumerate(rows)
    ]


def _letter(number: int) -> str:
    """A to Z, then AA, AB and so on, as columns of a ledger are lettered."""
    over, place = divmod(number, 26)
    return (_letter(over - 1) if over else "") + chr(ord("A") + place)


def shown_unasked(rounds: Sequence[LetteredRound], today: date) -> str:
    """The week; the next day that has rounds where they are too many to be read at once."""
    ahead = [each.row.day for each in rounds if each.row.day >= today]
    return WHOLE if len(rounds) <= MOST_ROUNDS or not ahead else ahead[0].isoformat()


def _way(each: LetteredRound, far: Collection[Site]) -> Way:
    row = each.row
    stops = [stop for stop in row.stops.all() if stop.site.position and stop.site not in far]
    return Way(_round_title(each), each.pattern, [_stop_mark(each, stop) for stop in stops],
               _base(row))  # fmt: skip


def _stop_mark(each: LetteredRound, stop: PlannedStop) -> Mark:
    late = stop.why in LATE
    number = f"{each.letter}{stop.position}"
    told = [number, stop.site.name, date_format(each.row.day, "D j M"),
            span_text(stop.arrive_minute, stop.leave_minute),
            technician_name(each.row.technician), _("must not wait") if late else ""]  # fmt: skip
    return Mark(
        stop.site.position or (0.0, 0.0),
        "stop-late" if late else "stop",
        ", ".join(filter(None, told)),
        stop.site.name,
        number,
        f"#stop-{stop.key}",
    )


def _left_mark(lines: Sequence[LeftLine], aside: bool) -> Mark | None:
    site, late = lines[0].site, any(line.required for line in lines)
    place = site.position
    if place is None:
        return None
    told = [site.name, _("left out"), _("must not wait") if late else "", lines[0].text]
    return Mark(place, "left-late" if late else "left", ", ".join(filter(None, told)), site.name,
                link=f"#left-{site.pk}", aside=aside)  # fmt: skip


def _bases(drawn: Sequence[LetteredRound]) -> Iterator[Mark]:
    """Where technicians set out, those of one base together."""
    people: dict[tuple[float, float], dict[str, None]] = {}
    for each in drawn:
        if base := _base(each.row):
            people.setdefault(base, {})[technician_name(each.row.technician)] = None
    for place, names in people.items():
        told = _("Base of {who}").format(who=", ".join(names))
        yield Mark(place, "base", told, ", ".join(names))


def _base(row: PlannedRound) -> tuple[float, float] | None:
    """Where its technician sets out, as the register has it now."""
    week = getattr(row.technician, "working_week", None)
    return week.position if week else None


def _by_site(lines: Iterable[LeftLine]) -> list[list[LeftLine]]:
    sites: dict[int, list[LeftLine]] = {}
    for line in lines:
        sites.setdefault(line.site.pk, []).append(line)
    return list(sites.values())


def _title(shown: str, drawn: Sequence[LetteredRound]) -> str:
    if shown == WHOLE:
        return _("Sites and rounds of the week")
    row = drawn[0].row
    if shown == drawn[0].letter:
        return _round_title(drawn[0])
    return _("Sites and rounds of {day}").format(day=date_format(row.day, "l j F"))


def _round_title(each: LetteredRound) -> str:
    return _("{letter}: {who}, {day}").format(
        letter=each.letter,
        who=technician_name(each.row.technician),
        day=date_format(each.row.day, "D j M"),
    )


def _summary(ways: Sequence[Way], left: int) -> str:
    stops = sum(len(way.stops) for way in ways)
    told = [
        ngettext("{count} round", "{count} rounds", len(ways)).format(count=len(ways)),
        ngettext("{count} stop", "{count} stops", stops).format(count=stops),
        ngettext("{count} site left out", "{count} sites left out", left).format(count=left),
    ]
    drawn = _("North is above. Each mark leads to its line in the sheet.")
    return f"{', '.join(told)}. {drawn}"


def _choices(rounds: Sequence[LetteredRound], shown: str) -> list[tuple[str, str, bool]]:
    """Value, words and whether it is drawn, for the week and each day with rounds."""
    days = dict.fromkeys(each.row.day for each in rounds)
    whole = (WHOLE, _("Whole week"), shown == WHOLE)
    return [whole] + [
        (day.isoformat(), date_format(day, "D j M"), shown == day.isoformat()) for day in days
    ]


def _key(drawn: Sequence[LetteredRound]) -> list[dict[str, Any]]:
    """Each technician's line, with the letters and days of what is drawn."""
    people: dict[int, dict[str, Any]] = {}
    for each in drawn:
        person = people.setdefault(
            each.row.technician_id,
            {"name": technician_name(each.row.technician), "pattern": each.pattern, "rounds": []},
        )
        person["rounds"].append((each.letter, date_format(each.row.day, "D")))
    return list(people.values())


def _undrawn(sites: Iterable[Site], left: Sequence[Sequence[LeftLine]]) -> str:
    """Sites that cannot be drawn, in a sentence; empty for none."""
    concerned = [*sites, *(lines[0].site for lines in left)]
    names = list(dict.fromkeys(site.name for site in concerned if site.position is None))
    if not names:
        return ""
    return _("Not drawn, for the register has no coordinates: {sites}.").format(
        sites=", ".join(names)
    )
