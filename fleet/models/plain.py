"""What every row of the register is checked for, whoever fills it: a form, a service, an import."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models

from config.characters import break_in, code_point, hidden_in


class PlainRow(models.Model):
    """A row whose texts hold nothing that a database refuses or nobody can see.

    What is no text of many lines is one of one line: names go into headers, calendars and lists.
    """

    class Meta:
        abstract = True

    def clean_fields(self, exclude: Collection[str] | None = None) -> None:
        faults: dict[str, Any] = {}
        try:
            super().clean_fields(exclude)
        except ValidationError as error:
            faults = error.update_error_dict(faults)
        for field in self._meta.concrete_fields:
            value = getattr(self, field.attname)
            if field.name in faults or field.name in (exclude or ()) or not isinstance(value, str):
                continue
            if sign := hidden_in(value):
                told = f"This text holds a hidden character, {code_point(sign)}; type it again."
                faults[field.name] = [ValidationError(told, code="hidden")]
            elif isinstance(field, models.CharField) and (sign := break_in(value)):
                told = f"This is one line; take out the break in it, {code_point(sign)}."
                faults[field.name] = [ValidationError(told, code="one_line")]
        if faults:
            raise ValidationError(faults)
