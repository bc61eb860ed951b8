"""Weekly hours as people write them: ``Mon-Sat 10:00-23:00; Sun 11-21``, ``always``, ``18-02``.

The parsed form is seven lists of ``[start, end]`` minutes of the day, Monday first; an end past
1,440 is the next day and belongs to the day it begins on.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

DAY_MINUTES = 1_440
WEEK_MINUTES = 7 * DAY_MINUTES
DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
DAY_NAMES = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_WHOLE_NAMES = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_GROUPS = {
    "daily": range(7), "every day": range(7), "everyday": range(7), "all week": range(7),
    "weekdays": range(5), "weekday": range(5), "weekends": range(5, 7), "weekend": range(5, 7),
}  # fmt: skip
_ONE_LETTER = ("m", "w", "f")
"""T and S could each be two days."""
_ALWAYS = {"always", "24/7", "24 hours", "24h", "24 h", "around the clock", "all the time"}
_NONE = {"closed", "off", "none", "-"}
_TIME = r"(\d{1,2})(?:[:.h](\d{2}))?\s*(am|pm|a|p)?"
_SPAN = re.compile(rf"{_TIME}\s*(?:-|to|until)\s*{_TIME}")
# A comma parts days as well as times; after a time and before a name it begins the next day.
_NEXT_DAY = re.compile(r"[;\n]|(?:(?<=\d)|(?<=\d[ap])|(?<=[ap]m))\s*,\s*(?=[a-z])")
_NOON = re.compile(r"\b(noon|midnight)\b")

Spans = list[list[list[int]]]


class OpeningError(ValueError):
    """Hours nobody can read; the text says which part and how to write it."""


@dataclass(frozen=True, slots=True)
class Opening:
    """Seven lists of spans; ``always`` is a place that says it never stops."""

    spans: Spans = field(default_factory=lambda: [[] for _ in DAYS])
    always: bool = False


def parse_opening(text: str) -> Opening:
    """Read weekly hours; a part without a day holds for every day not named elsewhere.

    Raises OpeningError naming the part that cannot be read, an impossible time, a day told twice
    or spans that overlap.
    """
    plain = _plain(text)
    if plain in _ALWAYS:
        return Opening([[[0, DAY_MINUTES]] for _ in DAYS], always=True)
    told: dict[int, list[list[int]]] = {}
    for part in filter(None, (part.strip() for part in _NEXT_DAY.split(plain))):
        days, times = _days_and_times(part)
        spans = _spans(times, part)
        for day in days:
            if day in told:
                raise OpeningError(f"{DAY_NAMES[day]} is told twice; name each day once")
            told[day] = spans
    spans_by_day = [list(told.get(day, [])) for day in range(7)]
    _refuse_overlaps(spans_by_day)
    return Opening(spans_by_day)


def opening_text(spans: Spans, *, always: bool = False) -> str:
    """The same hours as text that ``parse_opening`` reads back, equal days drawn together."""
    if always:
        return "always"
    parts: list[tuple[int, int, str]] = []
    for day, day_spans in enumerate(spans):
        times = ", ".join(f"{_clock(start)}-{_clock(end)}" for start, end in day_spans)
        if times and parts and parts[-1][1] == day - 1 and parts[-1][2] == times:
            parts[-1] = (parts[-1][0], day, times)
        elif times:
            parts.append((day, day, times))
    return (
        "; ".join(f"{_day_range(first, last)} {times}" for first, last, times in parts) or "closed"
    )


def _plain(text: str) -> str:
    plain = re.sub(r"[–—]", "-", text.strip().casefold())
    plain = re.sub(r"\s+", " ", plain).replace("a.m.", "am").replace("p.m.", "pm")
    return _NOON.sub(lambda found: "12:00" if found[1] == "noon" else "24:00", plain)


def _days_and_times(part: str) -> tuple[list[int], str]:
    at = re.search(r"\d|\b(?:closed|off|always)\b", part)
    named = part[: at.start()].strip(" :,") if at else part
    times = part[at.start() :] if at else ""
    if not times:
        raise OpeningError(f"{part!r} has no times; write as in Mon-Sat 10:00-23:00")
    return (_days(named) if named else list(range(7))), times


def _days(named: str) -> list[int]:
    days: list[int] = []
    for piece in re.split(r"\s*(?:,|&|\+|/|\band\b)\s*", named):
        if piece in _GROUPS:
            days += _GROUPS[piece]
            continue
        first, _, last = (
            end.strip() for end in re.sub(r"\b(to|through)\b", "-", piece).partition("-")
        )
        start = _day(first, named)
        end = _day(last, named) if last else start
        days += [(start + step) % 7 for step in range((end - start) % 7 + 1)]
    return days


def _day(word: str, named: str) -> int:
    name = word.rstrip(".")
    for day, whole in enumerate(_WHOLE_NAMES):
        # "thurs" and "tues" are as usual as "thu" and "tue"
        short = name.rstrip("s") if len(name) == 4 else name
        if (len(name) >= 2 or name in _ONE_LETTER) and whole.startswith(short):
            return day
    raise OpeningError(f"{named!r} names no day; write Mon, Tue, Wed, Thu, Fri, Sat or Sun")


def _spans(times: str, part: str) -> list[list[int]]:
    if times in _NONE:
        return []
    if times == "always":
        return [[0, DAY_MINUTES]]
    spans = []
    for piece in re.split(r"\s*(?:,|&|\+|\band\b)\s*", times):
        found = _SPAN.fullmatch(piece.strip())
        if not found:
            raise OpeningError(f"{part!r}: {piece!r} is no span; write as in 10:00-23:00")
        start = _minute(found[1], found[2], found[3], piece)
        end = _minute(found[4], found[5], found[6], piece)
        if _is_open_to_doubt(found, start, end):
            raise OpeningError(
                f"{part!r}: {piece!r} could be read two ways; write am and pm, or as in 17:00-02:00"
            )
        if start in (DAY_MINUTES, end):
            raise OpeningError(f"{part!r}: {piece!r} is no span of time; write always for 24 hours")
        spans.append([start, end if end > start else end + DAY_MINUTES])
    return sorted(spans)


def _is_open_to_doubt(found: re.Match[str], start: int, end: int) -> bool:
    """Whether am or pm is missing where it matters: ``9-5``, ``9am-5``, ``5-9pm``."""
    start_hour, end_hour = int(found[1]), int(found[4])
    if found[6]:
        evening = found[6].startswith("p") and end_hour < 12
        return evening and not found[3] and 0 < start_hour < end_hour
    half_clock = 0 < end_hour <= 12 and not found[4].startswith("0")
    return half_clock and end <= start and (bool(found[3]) or start_hour <= 12)


def _minute(hour_text: str, minute_text: str | None, half: str | None, piece: str) -> int:
    hour, minute = int(hour_text), int(minute_text or 0)
    if half:
        if not 1 <= hour <= 12:
            raise OpeningError(
                f"{piece!r}: {hour} {half[0]}m is no time; write 1 to 12 with am or pm"
            )
        hour = hour % 12 + (12 if half.startswith("p") else 0)
    if minute > 59 or hour * 60 + minute > DAY_MINUTES:
        raise OpeningError(f"{piece!r}: {hour}:{minute:02d} is no time of day; use 0:00 to 24:00")
    return hour * 60 + minute


def _refuse_overlaps(spans_by_day: Spans) -> None:
    week = sorted(
        (day * DAY_MINUTES + start, day * DAY_MINUTES + end)
        for day, spans in enumerate(spans_by_day)
        for start, end in spans
    )
    if not week:
        return
    following = [*week[1:], (week[0][0] + WEEK_MINUTES, 0)]
    for (start, end), (next_start, _) in zip(week, following, strict=True):
        if next_start < end:
            raise OpeningError(
                f"the span that begins {DAY_NAMES[start // DAY_MINUTES]} "
                f"{_clock(start % DAY_MINUTES)} runs into the next one; shorten one of them"
            )


def _clock(minute: int) -> str:
    inside = minute if minute == DAY_MINUTES else minute % DAY_MINUTES
    return f"{inside // 60:02d}:{inside % 60:02d}"


def _day_range(first: int, last: int) -> str:
    if first == last:
        return DAY_NAMES[first]
    return f"{DAY_NAMES[first]}-{DAY_NAMES[last]}"
