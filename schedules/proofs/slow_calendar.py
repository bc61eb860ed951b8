"""What an iCalendar file says of its events, read line by line (RFC 5545, 3.1 and 3.6.1)."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True)
class Told:
    """One event: ``begins`` and ``ends`` as local times of ``zone``, such as 20261102T090000."""

    uid: str
    sequence: int
    status: str
    zone: str
    begins: str
    ends: str


def told_at(uid: object, sequence: int, status: str, zone: str, day: date, hours: str) -> Told:
    """The event of a booking on that day, at hours such as ``09-11``."""
    begins, ends = (f"{day:%Y%m%d}T{hour}0000" for hour in hours.split("-"))
    return Told(str(uid), sequence, status, zone, begins, ends)


def events_in(calendar: str) -> frozenset[Told]:
    """All events of a file; ValueError for one that lacks a property."""
    text = re.sub(r"\r\n[ \t]", "", calendar)
    return frozenset(_told(part) for part in _parts(text))


def _parts(text: str) -> Iterator[str]:
    for part in text.split("BEGIN:VEVENT\r\n")[1:]:
        yield part.partition("END:VEVENT")[0]


def _told(part: str) -> Told:
    found: dict[str, tuple[str, str]] = {}
    for line in part.splitlines():
        told = re.fullmatch(r"([A-Z-]+)(?:;TZID=([^;:]+))?[^:]*:(.*)", line)
        if told:
            found[told[1]] = told[2] or "", told[3]
    missing = {"UID", "SEQUENCE", "STATUS", "DTSTART", "DTEND"} - found.keys()
    if missing or found["DTSTART"][0] != found["DTEND"][0]:
        raise ValueError(f"an event lacks {sorted(missing)} or has two zones: {part!r}")
    values = {name: value for name, (_, value) in found.items()}
    return Told(
        uid=values["UID"], sequence=int(values["SEQUENCE"]), status=values["STATUS"],
        zone=found["DTSTART"][0], begins=values["DTSTART"], ends=values["DTEND"],
    )  # fmt: skip
