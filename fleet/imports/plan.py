"""What storing a file would do: rows to add, rows to change and, for people, old and new."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Model

from fleet.imports.columns import BY_KEY
from fleet.imports.values import same_value, value_text
from fleet.models import Feed, Machine


@dataclass(frozen=True, slots=True)
class Change:
    """One value on record that the file would change."""

    row: int
    what: str
    column: str
    old: str
    new: str


@dataclass(frozen=True, slots=True)
class Motor:
    """A machine with its feed as both stand once the file is stored; ``row`` names the fan."""

    row: int
    machine: Machine
    feed: Feed


@dataclass(slots=True)
class Plan:
    """Rows to add by model in the order they must be stored; changed rows with their fields.

    ``motors`` are all of the file as they stand with it.
    """

    added: dict[type[Model], list[Any]] = field(default_factory=dict)
    changed: dict[type[Model], dict[int, Any]] = field(default_factory=dict)
    fields: dict[type[Model], set[str]] = field(default_factory=dict)
    changes: list[Change] = field(default_factory=list)
    motors: list[Motor] = field(default_factory=list)
    fans_in_file: int = 0

    @property
    def is_empty(self) -> bool:
        return not any(self.added.values()) and not any(self.changed.values())

    def add(self, row: Model) -> None:
        """Store ``row`` anew."""
        self.added.setdefault(type(row), []).append(row)

    def compare(self, obj: Any, values: Mapping[str, Any], told: tuple[int, str, str]) -> None:
        """Set every value that differs and remember it; ``told`` is row, part and what it is."""
        row, part, what = told
        for name, value in values.items():
            old = getattr(obj, name)
            if not same_value((part, name), old, value):
                self.change(obj, {name: value})
                self.tell(row, what, (part, name), old, value)

    def change(self, obj: Any, values: Mapping[str, Any]) -> None:
        """Set values of a row on record and store it again."""
        for name, value in values.items():
            setattr(obj, name, value)
        self.changed.setdefault(type(obj), {})[obj.pk] = obj
        self.fields.setdefault(type(obj), set()).update(values)

    def tell(self, row: int, what: str, key: tuple[str, str], old: Any, new: Any) -> None:
        """Remember a change for people only."""
        column = BY_KEY[key].heading if key in BY_KEY else key[1].replace("_", " ")
        self.changes.append(Change(row, what, column, value_text(old), value_text(new)))

    def counts(self) -> Counter[str]:
        """How many rows of each model would be added."""
        return Counter({model._meta.model_name or "": len(rows) for model, rows in self._filled()})

    def names_of(self, model: type[Model]) -> tuple[str, ...]:
        """The names of the owners or sites that would be added."""
        return tuple(row.name for row in self.added.get(model, ()))

    def _filled(self) -> Iterator[tuple[type[Model], list[Any]]]:
        return ((model, rows) for model, rows in self.added.items() if rows)
