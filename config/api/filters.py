"""What a list is narrowed by: named query parameters; what is unknown or misread is refused."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from django.utils.translation import gettext as _
from rest_framework.filters import BaseFilterBackend
from rest_framework.request import Request

from config.api.keyset import PARAMETERS
from config.api.problems import InvalidError, parameter_fault

Narrow = str | Callable[[Any, Any], Any]
"""A lookup of the ORM, or what takes rows and a value and gives the rows that are left."""
MOST_ID, NOBODYS = 2**63 - 1, 0
PAGING = ("after", "limit")
SPARSE = {
    "name": "fields", "in": "query", "required": False,
    "description": "Tell these members only, named with commas between: `id,tag`.",
    "schema": {"type": "string"},
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Filter:
    """One parameter: how its text is read (a ValueError says ``problem; remedy``), what is left."""

    read: Callable[[str], Any]
    narrow: Narrow
    meaning: str
    schema: Mapping[str, Any]
    must: bool = False
    of: Callable[[Any], Any] | None = None
    stands_in: str = ""

    def apply(self, rows: Any, value: Any, person: Any) -> Any:
        """The rows for which the value holds; what ``person`` may not see is nobody's.

        Else rows that hang on another's id, or hold the text, would be looked at before they are
        left out, which takes longer than where there are none.  So a text is looked for here, in
        rows that are seen anyway.
        """
        if self.of and not person.works_here and not self.of(person).filter(pk=value).exists():
            value = NOBODYS
        if self.stands_in and not person.works_here:
            seen = rows.order_by().values_list("pk", self.stands_in)
            return rows.filter(pk__in={pk for pk, text in seen if text == value})
        return self.narrow(rows, value) if callable(self.narrow) else rows.filter(
            **{self.narrow: value}
        )  # fmt: skip


def by_id(narrow: Narrow, meaning: str, of: Callable[[Any], Any]) -> Filter:
    """An id among what ``of`` says somebody may see; another's leaves nothing, like nobody's."""
    return Filter(_id, narrow, meaning, {"type": "integer", "minimum": 0}, of=of)


def by_text(narrow: Narrow, meaning: str, longest: int = 120, stands_in: str = "") -> Filter:
    """A text, exactly as on record; ``stands_in`` is its field, unless ``narrow`` names it."""

    def read(text: str) -> str:
        if not text or not text.isprintable():
            raise ValueError(_("empty, or with characters that no text of ours has; give the text"))
        if len(text) > longest:
            told = {"most": longest}
            raise ValueError(_("longer than any of ours; give at most %(most)s characters") % told)
        return text

    schema = {"type": "string", "minLength": 1, "maxLength": longest}
    field = narrow if isinstance(narrow, str) else stands_in
    return Filter(read, narrow, meaning, schema, stands_in=field)


def by_choice(narrow: Narrow, choices: tuple[str, ...], meaning: str) -> Filter:
    """One of a few words."""

    def read(text: str) -> str:
        if text not in choices:
            told = {"names": ", ".join(choices)}
            raise ValueError(_("no such word; give one of %(names)s") % told)
        return text

    return Filter(read, narrow, meaning, {"type": "string", "enum": list(choices)})


def by_flag(narrow: Narrow, meaning: str) -> Filter:
    """True or false."""
    return Filter(_flag, narrow, meaning, {"type": "boolean"})


def by_day(narrow: Narrow, meaning: str) -> Filter:
    """A local day."""
    return Filter(_day, narrow, meaning, {"type": "string", "format": "date"})


def by_instant(narrow: Narrow, meaning: str, *, must: bool = False) -> Filter:
    """An instant with its offset from UTC."""
    return Filter(_instant, narrow, meaning, {"type": "string", "format": "date-time"}, must)


def _id(text: str) -> int:
    if not re.fullmatch(r"[0-9]{1,40}", text):
        raise ValueError(_("this is no id; give one that a list told"))
    return int(text) if int(text) <= MOST_ID else NOBODYS


def _flag(text: str) -> bool:
    if text not in ("true", "false"):
        raise ValueError(_("neither true nor false; give one of them"))
    return text == "true"


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise ValueError(_("no day of the calendar; write it as in 2026-03-02")) from None


def _instant(text: str) -> datetime:
    try:
        # A plus sign in an address stands for a space unless it is written %2B.
        found = datetime.fromisoformat(text.replace(" ", "+") if "T" in text else text)
        if found.tzinfo is not None:
            return found.astimezone(UTC)
    except (ValueError, OverflowError):
        pass
    raise ValueError(_("no instant with an offset; write it as in 2026-03-02T15:00:00Z"))


class NamedFilters(BaseFilterBackend):
    """Narrows by a view's ``filters``; a parameter that the view does not know is a 400."""

    def filter_queryset(self, request: Request, queryset: Any, view: Any) -> Any:
        filters = getattr(view, "filters", {})
        told = {name: texts[-1] for name, texts in request.query_params.lists()}
        faults = list(_misplaced(request, _known(view)))
        faults += [
            parameter_fault(
                name, _("%(key)s is missing") % {"key": name},
                _("give it: %(meaning)s") % {"meaning": each.meaning},
            )
            for name, each in filters.items()
            if each.must and name not in told
        ]  # fmt: skip
        values = {}
        for name in told.keys() & filters.keys():
            try:
                values[name] = filters[name].read(told[name])
            except ValueError as error:
                problem, _semicolon, remedy = str(error).partition("; ")
                faults.append(parameter_fault(name, problem, remedy, told[name]))
        if faults:
            raise InvalidError(faults)
        for name, value in values.items():
            queryset = filters[name].apply(queryset, value, request.user)
        return queryset

    def get_schema_operation_parameters(self, view: Any) -> list[dict[str, Any]]:
        told = [
            {"name": name, "in": "query", "required": each.must, "description": each.meaning,
             "schema": dict(each.schema)}
            for name, each in getattr(view, "filters", {}).items()
        ]  # fmt: skip
        if getattr(view, "sparse", False):
            told.append(SPARSE)
        is_reckoned = hasattr(view, "keyset") and view.pagination_class is None
        return [*told, *PARAMETERS] if is_reckoned else told


class NoParametersMixin:
    """For a view of no list that takes no parameters: one that is told is refused there too."""

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        super().initial(request, *args, **kwargs)  # type: ignore[misc]
        if faults := list(_misplaced(request, [])):
            raise InvalidError(faults)


def _known(view: Any) -> list[str]:
    paging = PAGING if hasattr(view, "keyset") else ()
    sparse = ("fields",) if getattr(view, "sparse", False) else ()
    return [*getattr(view, "filters", ()), *sparse, *paging]


def _misplaced(request: Request, known: list[str]) -> Iterator[dict[str, str]]:
    remedy = (
        _("known here: %(names)s") % {"names": ", ".join(known)}
        if known
        else _("none is known here; leave it out")
    )
    for name, texts in request.query_params.lists():
        if name not in known:
            yield parameter_fault(name, _("no such parameter"), remedy, texts[-1])
        elif len(texts) > 1:
            yield parameter_fault(name, _("told more than once"), _("tell it once"), texts[-1])
