"""Reads JSON lines: one record on each, blank lines left out."""

from __future__ import annotations

import io
from functools import partial

from visits.imports.parsed import Parsed
from visits.imports.report import LineComplaint
from visits.payload import Complaint, PayloadError, parse_json, read_record

MOST_BYTES = 100_000_000
MOST_LINES = 50_000
LONGEST_LINE = 1_000_000


def looks_like_json(data: bytes) -> bool:
    """Whether the first thing in the file opens a JSON value."""
    return data[:1_000].removeprefix(b"\xef\xbb\xbf").lstrip()[:1] in (b"{", b"[")


def read_json_lines(data: bytes) -> Parsed:
    """Every record of the file; each line that is wrong brings all its complaints."""
    parsed = Parsed()
    if len(data) > MOST_BYTES:
        _refuse(parsed, 0, "the file is too big", f"split it below {MOST_BYTES // 10**6} MB")
        return parsed
    lines = io.BytesIO(data.removeprefix(b"\xef\xbb\xbf"))
    for number, line in enumerate(lines, start=1):
        if number > MOST_LINES:
            _refuse(parsed, number, "too many lines", f"split the file below {MOST_LINES} lines")
            break
        if line.strip():
            _read_line(parsed, number, line)
    return parsed


def _read_line(parsed: Parsed, number: int, line: bytes) -> None:
    place = partial(LineComplaint, number)
    if len(line) > LONGEST_LINE:
        _refuse(parsed, number, "the line is too long", "send it as several records")
        return
    try:
        parsed.add(read_record(parse_json(line.decode())), place)
    except UnicodeDecodeError as error:
        _refuse(parsed, number, f"byte {error.start} is not UTF-8", "save the file as UTF-8")
    except PayloadError as error:
        parsed.refuse(error, place)


def _refuse(parsed: Parsed, line: int, problem: str, remedy: str) -> None:
    parsed.complaints.append(LineComplaint(line, Complaint("", problem, "", remedy)))
