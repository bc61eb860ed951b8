"""What was asked of Spanish and is not in it, and English that shows all the same."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from django.utils.translation import trans_real

# The commonest words of English that are none of Spanish (from memory).
ENGLISH = re.compile(
    r"\b(the|of|and|is|was|are|has|have|not|your|this|that|with|at|by|to|be|for|from|on|it|we|you"
    r"|nobody|fan|fans|day|days|until|due)\b",
    re.IGNORECASE,
)
NO_WORDS = re.compile(r"<style>.*?</style>|<[^>]+>|\S+://\S+|(owner|leave)-link:\S*", re.DOTALL)


@contextmanager
def listening() -> Iterator[set[str]]:
    """The messages asked in Spanish meanwhile that no Spanish catalogue holds, Django's included.

    Tables of words are looked up once and kept: those come from files of which
    ``test_catalogues`` asks everything.
    """
    spanish: Any = trans_real.translation("es")
    single, counted, known, missing = (
        spanish.gettext, spanish.ngettext, spanish._catalog, set[str](),
    )  # fmt: skip

    def one(message: str) -> str:
        if message and message not in known:
            missing.add(message)
        return str(single(message))

    def some(message: str, plural: str, count: int) -> str:
        if (message, 0) not in known:
            missing.add(message)
        return str(counted(message, plural, count))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(spanish, "gettext", one)
        patch.setattr(spanish, "ngettext", some)
        yield missing


def english_in(text: str) -> set[str]:
    """English words in a text from which addresses and tags have been taken."""
    return {found.lower() for found in ENGLISH.findall(NO_WORDS.sub(" ", text))}


def words_in(told: Any, *, but: Collection[str]) -> Iterator[str]:
    """Every text of an answer, except under the keys ``but``, whose values are for machines."""
    match told:
        case dict():
            for key, value in told.items():
                if key not in but:
                    yield from words_in(value, but=but)
        case list():
            for value in told:
                yield from words_in(value, but=but)
        case str():
            yield told
