"""Calendar files are read line by line, without the library that writes them."""

from __future__ import annotations

import datetime as dt

import pytest

from schedules.proofs.slow_calendar import events_in, told_at

EVENT = (
    "BEGIN:VCALENDAR\r\nBEGIN:VTIMEZONE\r\nDTSTART:20261025T030000\r\nEND:VTIMEZONE\r\n"
    "BEGIN:VEVENT\r\nUID:6c8c1d52-2f0b-4a43-9d55-0a4b7c1f\r\n 20e8\r\nSEQUENCE:1\r\n"
    "STATUS:CONFIRMED\r\nDTSTART;TZID=Europe/Berlin:20261026T090000\r\n"
    "DTEND;TZID=Europe/Berlin:20261026T110000\r\nSUMMARY:Fans: north\r\nEND:VEVENT\r\n"
    "END:VCALENDAR\r\n"
)


# RFC 5545, 3.1: a line that begins with a space goes on the one before.
def test_event_when_a_line_is_folded_then_read_whole() -> None:
    uid = "6c8c1d52-2f0b-4a43-9d55-0a4b7c1f20e8"
    told = told_at(uid, 1, "CONFIRMED", "Europe/Berlin", dt.date(2026, 10, 26), "09-11")
    assert events_in(EVENT) == {told}


def test_event_when_it_has_no_end_then_complained_of() -> None:
    with pytest.raises(ValueError, match="DTEND"):
        events_in(EVENT.replace("DTEND", "DTSTAMP"))
