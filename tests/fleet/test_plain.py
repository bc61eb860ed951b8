"""Texts of the register hold nothing hidden, and names are of one line, whoever writes them."""

from __future__ import annotations

import pytest
from django.apps import apps
from django.core.exceptions import ValidationError
from django.db.models import CharField, TextField

from fleet.models import Owner
from fleet.models.plain import PlainRow

ROWS = [model for model in apps.get_models() if issubclass(model, PlainRow)]
NAMES = [
    pytest.param(model, field.name, id=f"{model.__name__}.{field.name}")
    for model in ROWS
    for field in model._meta.concrete_fields
    if isinstance(field, CharField) and not field.choices
]


# RFC 5322, 2.2: a line end within a header would begin another one.
@pytest.mark.parametrize("sign", ["\n", "\r", "\t", "\u2028", "\u2029", "\x00", "\x85", "\u202e"])
def test_name_when_it_ends_a_line_or_hides_a_sign_then_refused_with_it(sign: str) -> None:
    with pytest.raises(ValidationError) as told:
        Owner(name=f"Alder{sign}Bcc: x").clean_fields()
    assert f"U+{ord(sign):04X}" in told.value.message_dict["name"][0]


@pytest.mark.parametrize(("model", "name"), NAMES)
def test_text_of_one_line_when_it_has_two_then_refused(model: type[PlainRow], name: str) -> None:
    with pytest.raises(ValidationError) as told:
        model(**{name: "a\r\nb"}).clean_fields()
    assert name in told.value.message_dict


def test_notes_when_of_several_lines_then_kept() -> None:
    assert isinstance(Owner._meta.get_field("notes"), TextField)
    Owner(name="Alder", notes="one\n\ttwo").clean_fields()
