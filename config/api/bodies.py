"""Request bodies: JSON, strict and bounded in size and depth; pictures, bounded in size."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import IO, Any

from django.utils.translation import gettext as _
from rest_framework.parsers import BaseParser

from config.api.problems import InvalidError, ProblemError

MOST_BYTES = 1_000_000
"""More than any visit has; a view may allow more by its ``most_bytes``."""

DEEPEST = 12
MOST_DIGITS = 1_000


class StrictJSONParser(BaseParser):
    """JSON as RFC 8259 has it: UTF-8, no NaN, no name twice in one object."""

    media_type = "application/json"

    def parse(
        self,
        stream: IO[Any],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        """The document; a ProblemError of status 400 or 413 says what is wrong with it."""
        view = (parser_context or {}).get("view")
        return read_json(stream, getattr(view, "most_bytes", MOST_BYTES))


class PictureParser(BaseParser):
    """The body as it is, whatever kind of picture its sender calls it; ``most_bytes`` at most."""

    media_type = "image/*"

    def parse(  # type: ignore[override]  # what a body is, is up to its parser
        self,
        stream: IO[Any],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> bytes:
        view = (parser_context or {})["view"]
        if int(view.request.META.get("CONTENT_LENGTH") or 0) > view.most_bytes:
            raise _too_large(view.most_bytes)  # before anything of it is read
        return read_bytes(stream, view.most_bytes)


class BytesParser(PictureParser):
    """The same from a sender who does not know what it has."""

    media_type = "application/octet-stream"


def read_json(stream: IO[bytes], most_bytes: int) -> Any:
    """Read one document from a stream; at most one byte more than allowed is taken in."""
    data = read_bytes(stream, most_bytes)
    try:
        document = json.loads(
            data.decode("utf-8-sig"),  # editors put a mark first, which may be passed over
            parse_constant=_no_number,
            parse_int=_whole_number,
            object_pairs_hook=_each_name_once,
        )
    except UnicodeDecodeError as error:
        told = _("Byte %(place)s is no UTF-8; send UTF-8.") % {"place": error.start}
        raise ProblemError(400, "not_utf8", told) from error
    except RecursionError as error:
        raise _too_deep() from error
    except ValueError as error:
        told = _("This is no JSON: %(why)s.") % {"why": error}
        raise ProblemError(400, "not_json", told) from error
    if _depth(document) > DEEPEST:
        raise _too_deep()
    if b"\\u" in data:
        _refuse_half_characters(document)
    return document


def read_bytes(stream: IO[bytes], most_bytes: int) -> bytes:
    """A whole body; ProblemError of status 413 for one longer than allowed."""
    data = stream.read(most_bytes + 1)
    if len(data) > most_bytes:
        raise _too_large(most_bytes)
    return data


def _too_large(most_bytes: int) -> ProblemError:
    told = _("The body is longer than %(most)s bytes; send less at once.") % {
        "most": f"{most_bytes:,}"
    }
    return ProblemError(413, "too_large", told)


def _refuse_half_characters(document: Any) -> None:
    """An escape may name half of a pair: no text of any database, nor one we could answer with."""
    try:
        json.dumps(document, ensure_ascii=False).encode()
    except UnicodeEncodeError as error:
        problem = _("a string holds half a character (a lone surrogate)")
        fault = {"pointer": "#", "problem": problem, "remedy": _("send whole ones")}
        raise InvalidError([fault]) from error


def _no_number(word: str) -> Any:
    raise ValueError(_("%(word)s is no number of JSON; leave the reading out") % {"word": word})


def _whole_number(digits: str) -> int:
    if len(digits) > MOST_DIGITS:
        told = {"count": len(digits)}
        raise ValueError(_("a number of %(count)s digits; nothing of ours has so many") % told)
    return int(digits)


def _each_name_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for name, value in pairs:
        if name in found:
            raise ValueError(_("%(name)s stands twice in one object") % {"name": repr(name)})
        found[name] = value
    return found


def _too_deep() -> ProblemError:
    told = _("The body is nested deeper than %(most)s levels; nothing of ours is.") % {
        "most": DEEPEST
    }
    return ProblemError(400, "too_deep", told)


def _depth(document: Any) -> int:
    """Levels of objects and lists, counted without recursion."""
    level, depth = [document], 0
    while level := [each for each in level if isinstance(each, (dict, list))]:
        depth += 1
        level = [
            inner for each in level for inner in (each.values() if isinstance(each, dict) else each)
        ]
    return depth
