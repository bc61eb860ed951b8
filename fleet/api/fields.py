"""Values as the register takes them: numbers that are numbers, days within reason, weekly hours."""

from __future__ import annotations

from datetime import date
from math import isfinite
from typing import Any, ClassVar

from django.db import models
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from fleet.imports.columns import COLUMNS, Part
from fleet.imports.days import EARLIEST, LATEST
from fleet.opening import Opening, OpeningError, opening_text, parse_opening

LONGEST_NOTE = 2000
LONGEST_HOURS = 400


class ExactMixin:
    """Refuses values of other JSON types, however readable: a text of digits is no number."""

    takes: ClassVar[tuple[type, ...]] = (str,)

    def to_internal_value(self, data: Any) -> Any:
        # a flag is a number to Python
        if not isinstance(data, self.takes) or (isinstance(data, bool) and bool not in self.takes):
            self.fail("invalid")  # type: ignore[attr-defined]  # a field's
        return super().to_internal_value(data)  # type: ignore[misc]


class TextField(ExactMixin, serializers.CharField):
    """A text."""


class EmailField(ExactMixin, serializers.EmailField):
    """An address for mail."""

    default_error_messages = {"invalid": "Enter a valid email address."}


class WholeField(ExactMixin, serializers.IntegerField):
    """A whole number."""

    takes = (int, float)


class FlagField(ExactMixin, serializers.BooleanField):
    """True or false."""

    takes = (bool,)


class NumberField(ExactMixin, serializers.FloatField):
    """A finite number."""

    takes = (int, float)

    def to_internal_value(self, data: Any) -> float:
        try:
            value: float = super().to_internal_value(data)
        except OverflowError:
            self.fail("invalid")
        if not isfinite(value):
            self.fail("invalid")
        return value


class DayField(serializers.DateField):
    """A local day between 1950 and 2099."""

    def to_internal_value(self, value: Any) -> date:
        day: date = super().to_internal_value(value)
        if not EARLIEST <= day <= LATEST:
            raise serializers.ValidationError(
                f"This day is not plausible; {EARLIEST} to {LATEST} is taken."
            )
        return day


class RowField(serializers.PrimaryKeyRelatedField[Any]):
    """Another row of the register by its id."""

    def __init__(self, **kwargs: Any) -> None:
        # Without it a number such as 1e999 would reach the database.
        super().__init__(pk_field=WholeField(), **kwargs)


@extend_schema_field({"type": "string", "example": "Mon-Sat 10:00-23:00; Sun 11:00-21:00"})
class HoursField(serializers.Field[Any, Any, Any, Any]):
    """Weekly hours as people write them, ``always`` or ``closed``; read to an ``Opening``."""

    def to_internal_value(self, data: Any) -> Opening:
        if not isinstance(data, str) or not 0 < len(data.strip()) <= LONGEST_HOURS:
            raise serializers.ValidationError(
                "Write hours as text, as in Mon-Sat 10:00-23:00; Sun 11-21."
            )
        try:
            return parse_opening(data)
        except OpeningError as error:
            raise serializers.ValidationError(str(error)) from None

    def to_representation(self, value: Any) -> str:
        if isinstance(value, Opening):
            return opening_text(value.spans, always=value.always)
        return opening_text(value)


class SpansField(HoursField):
    """Weekly hours of which only the spans are kept."""

    def to_internal_value(self, data: Any) -> Any:
        return super().to_internal_value(data).spans


KINDS = {
    models.CharField: TextField,
    models.TextField: TextField,
    models.EmailField: EmailField,
    models.IntegerField: WholeField,
    models.PositiveIntegerField: WholeField,
    models.PositiveSmallIntegerField: WholeField,
    models.BooleanField: FlagField,
    models.FloatField: NumberField,
    models.DateField: DayField,
}


def bounds(part: Part, *more: str) -> dict[str, dict[str, Any]]:
    """Per field of a part, what an imported file is bounded by; ``more`` names its note fields."""
    told: dict[str, dict[str, Any]] = {name: {"max_length": LONGEST_NOTE} for name in more}
    for column in COLUMNS:
        if column.part != part:
            continue
        unit = f" [{column.unit}]" if column.unit else ""
        told[column.field] = {"help_text": column.meaning.replace("`", "") + unit}
        if column.high > column.low:
            told[column.field] |= {"min_value": column.low, "max_value": column.high}
        elif column.kind in ("text", "note", "rating", "name"):
            told[column.field]["max_length"] = column.longest
    return told
