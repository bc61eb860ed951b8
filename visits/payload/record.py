"""Reads one record of any type, tells all that is wrong with it at once, gives it its identity."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from typing import Any
from uuid import UUID, uuid5

from django.utils.translation import gettext as _

from visits.payload.complaints import Complaints, PayloadError, complaint
from visits.payload.entries import Entry
from visits.payload.fields import Fields
from visits.payload.others import read_answer, read_closing, read_event
from visits.payload.visit import read_visit

CONTENT_NAMESPACE = UUID("5b1f4c36-0d0e-5c1a-8f0e-6d6f2f0a9d11")
"""Ids made from content lie in this namespace; changing it would import old files twice."""

DEEPEST = 20
"""Levels of objects and lists in one record; the format itself needs five."""

_READERS: Mapping[str, Callable[[Fields, UUID, str], Entry]] = {
    "visit": read_visit,
    "event": read_event,
    "decision": read_answer,
    "closing": read_closing,
}
TYPES = tuple(_READERS)


def read_record(
    data: Any, *, type_: str = "", id_: UUID | None = None, noted: Complaints | None = None
) -> Entry:
    """The record in ``data`` (one object as parsed from JSON).

    ``type_`` is what a caller accepts where the record names no type; ``id_`` what identifies it
    where it carries no id, else its content does; ``noted`` what its caller complains of already.
    Raises PayloadError with all complaints.
    """
    complaints = Complaints() if noted is None else noted
    if _deeper(data, DEEPEST):
        problem = _("more than %(most)s levels deep") % {"most": DEEPEST}
        raise PayloadError([complaint("", problem, None, _("write it as documented"))])
    fields = Fields(data, "", complaints)
    if not isinstance(data, dict):
        raise PayloadError(complaints)
    kind = fields.choice("type", TYPES) or type_ or "visit"
    given = fields.own_id()
    # The same id may come in capitals or with blanks around it; a type that the address says may
    # be left out there, but not among others.
    same = {"id": str(given)} if given else {}
    same |= {} if kind == "visit" else {"type": kind}
    sha256 = payload_sha256({**data, **same})
    entry = _READERS[kind](fields, given or id_ or content_id(data), sha256)
    fields.close()
    if complaints:
        raise PayloadError(complaints, entry)
    return entry


def _deeper(data: Any, most: int) -> bool:
    """Whether objects and lists nest deeper; writing JSON back would exhaust the stack."""
    level = [data]
    for _level in range(most + 1):
        level = [
            inner
            for outer in level
            if isinstance(outer, (dict, list))
            for inner in (outer.values() if isinstance(outer, dict) else outer)
        ]
    return bool(level)


def canonical_json(data: Any) -> str:
    """One text for one content: keys sorted, no blanks, plain ASCII."""
    return json.dumps(data, sort_keys=True, separators=(",", ":"), ensure_ascii=True)


def payload_sha256(data: Any) -> str:
    """Tells a record repeated from another one under the same id."""
    return hashlib.sha256(canonical_json(data).encode()).hexdigest()


def content_id(data: Any) -> UUID:
    """The id of a record that carries none."""
    return uuid5(CONTENT_NAMESPACE, canonical_json(data))


def part_id(record: UUID, part: str) -> UUID:
    """The id of a part that carries none, from its record's id and its place in it."""
    return uuid5(record, part)


def parse_json(text: str) -> Any:
    """JSON of one line; PayloadError for what is no JSON, for NaN and for a key given twice."""
    try:
        return json.loads(text, parse_constant=_refuse_constant, object_pairs_hook=_once)
    except (json.JSONDecodeError, _NotPlainError, RecursionError) as error:
        problem = (_("this is not plain JSON: %(why)s") % {"why": error})[:200]
        raise PayloadError(
            [complaint("", problem, text, _("write one JSON object on one line"))]
        ) from error
    except ValueError as error:
        problem = _("a number has too many digits")
        raise PayloadError([complaint("", problem, text, _("write it shorter"))]) from error


class _NotPlainError(Exception):
    pass


def _refuse_constant(name: str) -> float:
    raise _NotPlainError(_("%(key)s is not a number; leave the reading out") % {"key": name})


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        keys = [key for key, _ in pairs]
        twice = next(key for key in keys if keys.count(key) > 1)
        raise _NotPlainError(_("the key %(key)s is given twice") % {"key": repr(twice[:40])})
    return found
