"""Characters no text of ours may hold: databases refuse them, or nobody can see them."""

from __future__ import annotations

import os
from pathlib import Path
from unicodedata import category

_HIDDEN = ("Cc", "Cf", "Cs")
_NOT_PLAIN = ("Co", "Cn")
_LINES = "\n\t\r"
_BREAKS = ("Zl", "Zp")
_JOINERS = "\u200c\u200d"
"""Scripts such as Persian and many pictographs need them inside words."""


def hidden_in(text: str, *, name: bool = False) -> str:
    """The first such character, or nothing: controls but line ends, NUL, marks, half characters.

    Categories as in the Unicode Standard, chapter 4.5.  A ``name``, by which things are found
    again, may hold neither joiners nor what no font shows.
    """
    if text.isprintable():
        return ""
    return next((sign for sign in text if _is_hidden(sign, name)), "")


def break_in(text: str) -> str:
    """The first sign that ends a line or leaps within it, or nothing.

    A name is one line: subjects of mail, calendars and lists are made of names.
    """
    if text.isprintable():
        return ""
    return next((sign for sign in text if sign in _LINES or category(sign) in _BREAKS), "")


def _is_hidden(sign: str, in_name: bool) -> bool:
    if sign in _LINES:
        return False
    if sign in _JOINERS:
        return in_name
    kind = category(sign)
    return kind in _HIDDEN or (in_name and kind in _NOT_PLAIN)


def code_point(sign: str) -> str:
    """A character by its number, ``U+200B``."""
    return f"U+{ord(sign):04X}"


def plain_name(path: Path) -> str:
    """A file's name as text; bytes of it that are no UTF-8 become U+FFFD."""
    return os.fsencode(path.name).decode(errors="replace")
