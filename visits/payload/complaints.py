"""What is wrong with a record: every complaint with its place, the value seen and the remedy."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

SEEN_AT_MOST = 60
LISTED_AT_MOST = 12
TOLD_AT_MOST = 100


@dataclass(frozen=True, slots=True)
class Complaint:
    """One thing wrong at a JSON pointer; ``seen`` is the value as text, cut where it is long."""

    pointer: str
    problem: str
    seen: str
    remedy: str

    def __str__(self) -> str:
        place = f"{self.pointer}: " if self.pointer else ""
        seen = f" (seen: {self.seen})" if self.seen else ""
        return f"{place}{self.problem}{seen}; {self.remedy}"


class Complaints(list[Complaint]):
    """What is wrong with one record: the first hundred complaints, then one with how many more."""

    more = 0

    @property
    def are_enough(self) -> bool:
        """Whether further ones are but counted, so nobody needs to find words for them."""
        return len(self) >= TOLD_AT_MOST

    def append(self, new: Complaint) -> None:
        if self.are_enough:
            self.count_one()
        else:
            super().append(new)

    def count_one(self) -> None:
        """One more, which is not told."""
        self.more += 1
        problem = f"{self.more} more things are wrong"
        self[TOLD_AT_MOST:] = [Complaint("", problem, "", "put right what is told, send it again")]


class PayloadError(ValueError):
    """A record that cannot be taken; ``complaints`` holds what is wrong with it, up to a bound.

    ``entry`` is the record as far as it could be read, None where it could not be read at all.
    """

    def __init__(self, complaints: Iterable[Complaint], entry: Any = None) -> None:
        told = complaints if isinstance(complaints, Complaints) else Complaints()
        if told is not complaints:
            for each in complaints:
                told.append(each)
        self.complaints = tuple(told)
        self.entry = entry
        super().__init__("\n".join(map(str, self.complaints)))


def complaint(pointer: str, problem: str, seen: Any, remedy: str) -> Complaint:
    """A complaint about the value ``seen``, shown as JSON writes it."""
    return Complaint(pointer, problem, "" if seen is None else shown(seen), remedy)


def shown(value: Any) -> str:
    """A value as JSON writes it, on one line and not longer than a person reads."""
    if isinstance(value, str):
        # Cut first: a text may be as long as the whole line.
        value = value[: SEEN_AT_MOST + 1]
    text = json.dumps(value, ensure_ascii=True, default=str)
    return text if len(text) <= SEEN_AT_MOST else f"{text[: SEEN_AT_MOST - 1]}…"


def choices_remedy(word: str, known: Iterable[str]) -> str:
    """What to write instead of ``word``: its nearest neighbour first, then what there is."""
    names = list(known)
    near = get_close_matches(word[:SEEN_AT_MOST], names, n=1, cutoff=0.6)
    listed = ", ".join(names[:LISTED_AT_MOST])
    left = len(names) - LISTED_AT_MOST
    more = f" and {left} more, all listed by import_visits --help" if left > 0 else ""
    return (f"did you mean {near[0]}? " if near else "") + f"it may be {listed}{more}"
