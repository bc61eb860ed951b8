"""Reads one JSON object key by key: wrong values become complaints, unread keys are refused."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Iterator
from datetime import date
from decimal import Decimal, InvalidOperation
from math import isfinite
from typing import Any, TypeVar
from uuid import UUID

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from config.characters import break_in, hidden_in
from visits.payload.complaints import Complaints, Remedy, choices_remedy, complaint
from visits.payload.moments import Moment, UnreadableError, read_day, read_moment
from visits.payload.names import ALSO_CALLED

T = TypeVar("T")
SHORT, LONG = 250, 4_000
PLAIN = gettext_lazy("leave them out, keep plain text")
NEEDED = gettext_lazy("it cannot be left out")
_UUID = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}", re.IGNORECASE | re.ASCII)


class Fields:
    """The keys of one object; each reader takes a key, tells what is wrong, gives None or empty.

    ``called`` stands for the keys in what is told: those of a list are but numbers.
    """

    def __init__(self, data: Any, pointer: str, complaints: Complaints, called: str = "") -> None:
        self.pointer, self._called = pointer, called
        self.complaints = complaints
        self._data: dict[str, Any] = data if isinstance(data, dict) else {}
        self._read: set[str] = set()
        if not isinstance(data, dict):
            self.complain("", _("here an object is wanted"), data, _('write {"key": value, ...}'))
        self._drop_hidden_keys()

    def _drop_hidden_keys(self) -> None:
        odd = dict.fromkeys(key for key in self._data if hidden_in(key))
        for key in odd:
            problem = _("this key holds hidden characters")
            self.complain(escaped(ascii(key)[1:-1]), problem, key, PLAIN)
        if odd:
            self._data = {key: value for key, value in self._data.items() if key not in odd}

    def complain(self, key: str, problem: str, seen: Any, remedy: Remedy) -> None:
        """Note a complaint about ``key``, or about the whole object where it is empty."""
        if self.complaints.are_enough:
            self.complaints.count_one()
            return
        place = f"{self.pointer}/{key}" if key else self.pointer
        self.complaints.append(complaint(place, problem, seen, remedy))

    def refuse_word(self, key: str, problem: str, word: str, known: Iterable[str]) -> None:
        """Complain of a word that is none of those ``known``, with the nearest of them."""
        told = self.complaints
        guess = not told.are_enough and told.guesses()
        remedy = "" if told.are_enough else choices_remedy(as_code(word), known, guess=guess)
        self.complain(key, problem, word, remedy)

    def raw(self, key: str, *, must: bool = False, remedy: Remedy = NEEDED) -> Any:
        """The value itself; None where it is missing, null, an empty text or one we cannot keep."""
        self._read.add(key)
        value = self._data.get(key)
        if value is None or (isinstance(value, str) and not value.strip()):
            if must:
                self.complain(key, _("%(key)s is missing") % {"key": key}, None, remedy)
            return None
        if isinstance(value, str) and hidden_in(value):
            self.complain(key, _("%(key)s holds hidden characters") % {"key": key}, value, PLAIN)
            return None
        return value

    def has(self, key: str) -> bool:
        """Whether the key is there with a value."""
        return self._data.get(key) is not None

    def text(
        self, key: str, *, must: bool = False, longest: int = SHORT, remedy: Remedy = NEEDED
    ) -> str:
        value = self.raw(key, must=must, remedy=remedy)
        named = {"key": self._called or key}
        if value is None:
            return ""
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            value = str(value)
        if not isinstance(value, str):
            self.complain(key, _("%(key)s is not a text") % named, value, _("write it in quotes"))
            return ""
        value = value.strip()
        if longest < SHORT and break_in(value):
            problem = _("%(key)s is a name, of one line") % named
            self.complain(key, problem, value, _("write it without breaks"))
            return ""
        if len(value) > longest:
            problem = _("%(key)s has %(count)s characters") % {**named, "count": len(value)}
            self.complain(key, problem, value, _("at most %(most)s fit") % {"most": longest})
            return ""
        return value

    def choice(self, key: str, known: Collection[str], *, must: bool = False) -> str:
        """One of ``known``; capitals, spaces and hyphens are forgiven."""
        text = self.text(key, must=must)
        code = as_code(text)
        code = code if code in known else ALSO_CALLED.get(code, code)
        if text and code not in known:
            problem = _("%(key)s is not known") % {"key": self._called or key}
            self.refuse_word(key, problem, text, known)
            return ""
        return code

    def flag(self, key: str) -> bool | None:
        value = self.raw(key)
        if value is None or isinstance(value, bool):
            return value
        word = {"yes": True, "true": True, "no": False, "false": False}.get(str(value).lower())
        if word is None:
            problem = _("%(key)s is neither true nor false") % {"key": key}
            self.complain(key, problem, value, _("write true or false"))
        return word

    def day(self, key: str, *, must: bool = False) -> date | None:
        return self._parsed(key, read_day, must)

    def moment(self, key: str, *, must: bool = False) -> Moment | None:
        return self._parsed(key, read_moment, must)

    def identity(self, key: str, *, must: bool = False) -> UUID | None:
        """The id of something on record."""
        return self._parsed(key, _read_uuid, must)

    def own_id(self, *, must: bool = False) -> UUID | None:
        """The id that a record or a part of it brings along."""
        return self._parsed("id", _read_own_id, must)

    def _parsed(self, key: str, read: Callable[[str], T], must: bool) -> T | None:
        value = self.raw(key, must=must)
        if value is None:
            return None
        try:
            return read(value.strip() if isinstance(value, str) else "")
        except UnreadableError as error:
            self.complain(key, error.problem % {"name": key}, value, error.remedy)
            return None

    def number(self, key: str, low: float, high: float) -> float | None:
        """A finite number within ``low`` and ``high``, ends included."""
        value = self.raw(key)
        if value is None:
            return None
        number = as_number(value)
        if number is None:
            problem = _("%(key)s is not a number") % {"key": key}
            self.complain(key, problem, value, _("write digits without a unit"))
        elif not low <= number <= high:
            remedy = _("expected %(low)s to %(high)s") % {"low": f"{low:g}", "high": f"{high:g}"}
            self.complain(key, _("%(key)s is out of range") % {"key": key}, value, remedy)
            number = None
        return number

    def money(self, key: str) -> Decimal | None:
        value = self.raw(key)
        if value is None:
            return None
        try:
            amount = Decimal(str(value)).quantize(Decimal("0.01"))
        except InvalidOperation:
            amount = Decimal("NaN")
        # what is kept is compared: 99999999.999 would be one digit more than fits
        if not amount.is_finite() or amount.is_signed() or amount >= 10**8:
            problem = _("%(key)s is not an amount") % {"key": key}
            self.complain(key, problem, value, _("write it as 180.00"))
            return None
        return amount

    def rows(self, key: str, most: int) -> Iterator[Fields]:
        """The objects of a list, each to be read and closed in its turn."""
        for index, value in enumerate(self._list(key, most)):
            yield Fields(value, f"{self.pointer}/{key}/{index}", self.complaints)

    def words(self, key: str, most: int, known: Collection[str] = ()) -> tuple[str, ...]:
        """The texts of a list, without repeats; each one of ``known`` unless that is empty."""
        numbered = dict(_numbered(self._list(key, most)))
        inner = Fields(numbered, f"{self.pointer}/{key}", self.complaints, called=key)
        read = [inner.choice(n, known) if known else inner.text(n) for n in inner.names()]
        return tuple(dict.fromkeys(word for word in read if word))

    def _list(self, key: str, most: int) -> list[Any]:
        value = self.raw(key)
        if value is None:
            return []
        if not isinstance(value, list):
            problem = _("%(key)s is not a list") % {"key": key}
            self.complain(key, problem, value, _("write [ ... ]"))
            return []
        if len(value) > most:
            problem = _("%(key)s has %(count)s entries") % {"key": key, "count": len(value)}
            remedy = _("at most %(most)s fit; send several") % {"most": most}
            self.complain(key, problem, None, remedy)
            return []
        return value

    def inner(self, key: str) -> Fields | None:
        """The object under ``key``, or None where there is none."""
        value = self.raw(key)
        return None if value is None else Fields(value, f"{self.pointer}/{key}", self.complaints)

    def named(self, key: str) -> Fields:
        """The object under ``key`` whose own keys are names; empty where there is none."""
        return self.inner(key) or Fields({}, f"{self.pointer}/{key}", self.complaints)

    def names(self) -> list[str]:
        """The keys as they came."""
        return list(self._data)

    def close(self) -> None:
        """Refuse every key nobody asked for, by name, with the nearest that is known."""
        known = sorted(self._read)
        for key in self._data:
            if key not in self._read:
                self.refuse_word(escaped(key), _("this key is not known"), key, known)


def _numbered(values: list[Any]) -> Iterator[tuple[str, Any]]:
    return ((str(index), value) for index, value in enumerate(values))


def _read_uuid(text: str) -> UUID:
    # UUID() would also take figures of other scripts and hyphens in other places.
    if not _UUID.fullmatch(text):
        raise UnreadableError(_("%(name)s is not a UUID"), _("write 36 characters in hex"))
    return UUID(text)


def _read_own_id(text: str) -> UUID:
    """Nil and max stand for no id at all (RFC 9562, 5.9 and 5.10): they would be sent again."""
    id_ = _read_uuid(text)
    if id_.int in (0, 2**128 - 1):
        problem = _("%(name)s is the nil or the max UUID, which programs send where they have none")
        raise UnreadableError(problem, _("make a random one and keep it"))
    return id_


def as_code(text: str) -> str:
    """A word as codes are written: ``As found`` is ``as_found``."""
    return "_".join(text.casefold().replace("-", " ").replace("_", " ").split())


def as_number(value: Any) -> float | None:
    """A finite number from a JSON number or from digits in quotes, else None."""
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        return None
    try:
        # float() would also take 1_000, which no meter shows.
        number = float(value.replace("_", "?") if isinstance(value, str) else value)
    except (ValueError, OverflowError):
        return None
    return number if isfinite(number) else None


def escaped(key: str) -> str:
    """A key as one step of a JSON pointer (RFC 6901)."""
    return key[:60].replace("~", "~0").replace("/", "~1")
