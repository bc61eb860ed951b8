"""Values as the register takes them: numbers that are numbers, days within reason, weekly hours."""

from __future__ import annotations

from datetime import date
from math import isfinite
from typing import Any, ClassVar, NoReturn

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


LENGTHS = {
    "max_length": "this is too long; give at most {max_length} characters",
    "min_length": "this is too short; give at least {min_length} characters",
}
RANGE = {
    "min_value": "this is too little; give {min_value} or more",
    "max_value": "this is too much; give {max_value} or less",
    "max_string_length": "this is too long for a number; give fewer digits",
}


class TextField(ExactMixin, serializers.CharField):
    """A text."""

    default_error_messages = {
        **LENGTHS, "invalid": "this is no text; write it in quotes",
        "blank": "this text is empty; write something, or leave it out",
    }  # fmt: skip


class EmailField(ExactMixin, serializers.EmailField):
    """An address for mail."""

    default_error_messages = {
        **LENGTHS, "invalid": "this is no address for mail; write it as in kitchen@example.com",
        "blank": "this text is empty; write something, or leave it out",
    }  # fmt: skip


class WholeField(ExactMixin, serializers.IntegerField):
    """A whole number."""

    takes = (int, float)
    default_error_messages = {
        **RANGE, "invalid": "this is no whole number; write one without quotes",
    }  # fmt: skip


class FlagField(ExactMixin, serializers.BooleanField):
    """True or false."""

    takes = (bool,)
    default_error_messages = {"invalid": "neither true nor false; give one of them, unquoted"}


class NumberField(ExactMixin, serializers.FloatField):
    """A finite number."""

    takes = (int, float)
    default_error_messages = {**RANGE, "invalid": "this is no number; write one without quotes"}

    def to_internal_value(self, data: Any) -> float:
        try:
            value: float = super().to_internal_value(data)
        except OverflowError:
            self.fail("invalid")
        if not isfinite(value):
            self.fail("invalid")
        return value


class MoneyField(serializers.DecimalField):
    """An amount of money, written as text."""

    default_error_messages = {
        **RANGE, "invalid": "this is no amount; write it as in 250.00",
        "max_digits": "this has too many digits; give at most {max_digits}",
        "max_decimal_places": "this has too many decimals; give at most {max_decimal_places}",
        "max_whole_digits": "this is too much; give at most {max_whole_digits} digits before the "
        "point",
    }  # fmt: skip


class DayField(serializers.DateField):
    """A local day between 1950 and 2099."""

    default_error_messages = {
        "invalid": "this is no day of the calendar; write it as in 2026-03-02",
        "datetime": "this is an instant, where a day is wanted; write it as in 2026-03-02",
    }

    def to_internal_value(self, value: Any) -> date:
        day: date = super().to_internal_value(value)
        if not EARLIEST <= day <= LATEST:
            raise serializers.ValidationError(
                f"this day is not plausible; {EARLIEST} to {LATEST} is taken"
            )
        return day


class RowField(serializers.PrimaryKeyRelatedField[Any]):
    """Another row of the register by its id."""

    default_error_messages = {
        "does_not_exist": "there is no such row, or it is not yours to see; give an id that a "
        "list told",
        "incorrect_type": "this is no id; give one that a list told",
        "invalid": "this is no id; give one that a list told",
    }

    def __init__(self, **kwargs: Any) -> None:
        # Without it a number such as 1e999 would reach the database.
        super().__init__(pk_field=WholeField(), **kwargs)


class WordField(serializers.ChoiceField):
    """One of a few words; a refusal names them."""

    def fail(self, key: str, **told: Any) -> NoReturn:
        if key != "invalid_choice":
            super().fail(key, **told)
        words = ", ".join(str(word) for word in self.choices if word)
        raise serializers.ValidationError(f"no such word; give one of {words}", key)


class ListField(serializers.ListField):
    """Several values."""

    default_error_messages = {
        "not_a_list": "this is no list; write it in brackets",
        "min_length": "there are too few; give at least {min_length}",
        "max_length": "there are too many; give at most {max_length}",
        "empty": "the list is empty; give at least one",
    }


@extend_schema_field({"type": "string", "example": "Mon-Sat 10:00-23:00; Sun 11:00-21:00"})
class HoursField(serializers.Field[Any, Any, Any, Any]):
    """Weekly hours as people write them, ``always`` or ``closed``; read to an ``Opening``."""

    def to_internal_value(self, data: Any) -> Opening:
        if not isinstance(data, str) or not 0 < len(data.strip()) <= LONGEST_HOURS:
            raise serializers.ValidationError(
                "these are no hours; write them as in Mon-Sat 10:00-23:00"
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
    models.DecimalField: MoneyField,
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
