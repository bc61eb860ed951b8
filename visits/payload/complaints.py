"""What is wrong with a record: every complaint with its place, the value seen and the remedy."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from difflib import get_close_matches
from typing import Any, Literal

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

Listed = Literal["words", "sites", "fans", "systems"]
"""What a remedy lists: words of the format, or names in the register."""

SEEN_AT_MOST = 60
LISTED_AT_MOST = 12
TOLD_AT_MOST = 100
GUESSED_AT_MOST = 12
"""Our choice: finding the nearest word takes longer than all else, and nobody misspells more."""


@dataclass(frozen=True, slots=True)
class Complaint:
    """One thing wrong at a JSON pointer; ``seen`` is the value as text, cut where it is long.

    ``left`` counts what the remedy could name besides and does not, for want of room.
    """

    pointer: str
    problem: str
    seen: str
    remedy: str
    left: int = 0
    listed: Listed = "words"

    def told_at(self, lists: Mapping[Listed, str | Promise]) -> Complaint:
        """The same at a doorway whose users find the rest where ``lists`` says."""
        if not self.left:
            return self
        told = {"remedy": self.remedy, "left": self.left}
        told["where"] = lists.get(self.listed) or _("all in the register")
        remedy = _("%(remedy)s and %(left)s more, %(where)s") % told
        return replace(self, remedy=remedy, left=0)

    def __str__(self) -> str:
        place = f"{self.pointer}: " if self.pointer else ""
        seen = f" (seen: {self.seen})" if self.seen else ""
        return f"{place}{self.problem}{seen}; {self.remedy}"


@dataclass(frozen=True, slots=True)
class Choices:
    """A remedy that names what there is, and how much of that it leaves out."""

    told: str
    left: int
    listed: Listed


class Complaints(list[Complaint]):
    """What is wrong with one record: the first complaints, and how many more there are.

    most : how many are told; 0 where it only matters whether there are any
    """

    more = guessed = 0

    def __init__(self, most: int = TOLD_AT_MOST) -> None:
        super().__init__()
        self.most = most

    @property
    def are_enough(self) -> bool:
        """Whether further ones are but counted, so nobody needs to find words for them."""
        return len(self) >= self.most

    def guesses(self) -> bool:
        """Whether one more remedy may begin with the word that was meant."""
        self.guessed += 1
        return self.guessed <= GUESSED_AT_MOST

    def append(self, new: Complaint) -> None:
        if self.are_enough:
            self.count_one()
        else:
            super().append(new)

    def count_one(self) -> None:
        """One more, which is not told; thousands come, so words for it are found at the end."""
        self.more += 1
        if self.more == 1:
            super().append(FURTHER)

    def told(self) -> tuple[Complaint, ...]:
        """The complaints that are told, then how many more there are."""
        if not self.more:
            return tuple(self)
        problem = ngettext(
            "%(count)s more thing is wrong", "%(count)s more things are wrong", self.more
        ) % {"count": self.more}
        remedy = _("put right what is told, send it again")
        return (*self[: self.most], Complaint("", problem, "", remedy))


FURTHER = Complaint("", "", "", "")
"""Stands for all that are counted and not told."""


class PayloadError(ValueError):
    """A record that cannot be taken; ``complaints`` holds what is wrong with it, up to a bound.

    ``entry`` is the record as far as it could be read, None where it could not be read at all.
    """

    def __init__(self, complaints: Iterable[Complaint], entry: Any = None) -> None:
        told = complaints if isinstance(complaints, Complaints) else Complaints()
        if told is not complaints:
            for each in complaints:
                told.append(each)
        self.complaints = told.told()
        self.entry = entry
        super().__init__("\n".join(map(str, self.complaints)))


Remedy = str | Promise | Choices


def complaint(pointer: str, problem: str, seen: Any, remedy: Remedy) -> Complaint:
    """A complaint about the value ``seen``, shown as JSON writes it."""
    text = "" if seen is None else shown(seen)
    if isinstance(remedy, Choices):
        return Complaint(pointer, problem, text, remedy.told, remedy.left, remedy.listed)
    return Complaint(pointer, problem, text, str(remedy))


def shown(value: Any) -> str:
    """A value as JSON writes it, on one line and not longer than a person reads."""
    if isinstance(value, str):
        # Cut first: a text may be as long as the whole line.
        value = value[: SEEN_AT_MOST + 1]
    text = json.dumps(value, ensure_ascii=False, default=str)
    text = "".join(sign if sign.isprintable() else f"\\u{ord(sign):04x}" for sign in text)
    return text if len(text) <= SEEN_AT_MOST else f"{text[: SEEN_AT_MOST - 1]}…"


def choices_remedy(
    word: str, known: Iterable[str], listed: Listed = "words", *, guess: bool = True
) -> Choices:
    """What to write instead of ``word``: its nearest neighbour first, then what there is."""
    names = list(known)
    near = get_close_matches(word[:SEEN_AT_MOST], names, n=1, cutoff=0.6) if guess else []
    told = {"names": ", ".join(names[:LISTED_AT_MOST]), "near": "".join(near)}
    remedy = _("did you mean %(near)s? it may be %(names)s") if near else _("it may be %(names)s")
    return Choices(remedy % told, max(len(names) - LISTED_AT_MOST, 0), listed)
