"""What one column of a fleet file is: its heading, the field it fills and how its cells read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import field as dataclass_field
from typing import Literal

Part = Literal["owner", "agreement", "site", "system", "fan", "machine", "feed"]
Kind = Literal[
    "name", "text", "note", "email", "country", "zone", "date", "days", "yes_no", "choice",
    "whole", "number", "coordinate", "rating", "hours", "classes", "visits",
    "phases",
]  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One documented column.

    ``field`` is the model's field of that ``part``.  Numbers end up in ``unit``; where
    ``must_say_unit`` is set, the heading or the cell has to name one of ``units``, since a bare
    number could be either.  ``low`` and ``high`` bound the number in ``unit``.  A synonym may imply
    a unit: ``kw=kW``.  ``choices`` turns words into codes.
    """

    heading: str
    part: Part
    field: str
    kind: Kind
    meaning: str
    example: str = ""
    synonyms: tuple[str, ...] = ()
    choices: Mapping[str, str] = dataclass_field(default_factory=dict)
    unit: str = ""
    units: tuple[str, ...] = ()
    must_say_unit: bool = False
    low: float = 0.0
    high: float = 0.0
    longest: int = 120
    required: bool = False

    @property
    def key(self) -> tuple[str, str]:
        return self.part, self.field

    @property
    def may_be_unreadable(self) -> bool:
        """Whether ``?`` says "looked at, could not be read": only for what a nameplate carries."""
        return self.part == "machine" and self.field not in ("installed_on", "warranty_until")

    @property
    def codes(self) -> tuple[str, ...]:
        """The codes a choice ends up as, in documented order."""
        return tuple(dict.fromkeys(self.choices.values()))
