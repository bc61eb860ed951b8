"""The one error of the register's services."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager

from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.utils.translation import gettext_lazy as _

TAKEN = _("there is one on record already; edit that one, or give another")


class RegisterError(ValueError):
    """A change the register cannot take; the text says what was wrong and seen, and what to do.

    ``faults`` holds the same by field, ``machine/volts`` for a field of what was entered with it.
    """

    def __init__(self, text: str, faults: Mapping[str, str] | None = None) -> None:
        super().__init__(text)
        self.faults = dict(faults or {})


def refuse(faults: Mapping[str, str]) -> RegisterError:
    """Some fields that cannot be so, each with its sentence."""
    told = (text if field == NON_FIELD_ERRORS else f"{field}: {text}"
            for field, text in faults.items())  # fmt: skip
    return RegisterError("; ".join(told), faults)


def refuse_invalid(error: ValidationError) -> RegisterError:
    """The same complaint in the words of a service, each field named."""
    faults: dict[str, str] = {}
    for field, text in _told(error):
        faults[field] = f"{faults[field]} {text}" if field in faults else text
    return refuse(faults)


def _told(error: ValidationError) -> Iterator[tuple[str, str]]:
    by_field = error.error_dict if hasattr(error, "error_dict") else {NON_FIELD_ERRORS: [error]}
    for field, errors in by_field.items():
        for each in errors:
            # Of what is unique together, the last is the name or day that somebody chose.
            unique = (each.params or {}).get("unique_check") if hasattr(each, "params") else None
            text = str(TAKEN) if unique else " ".join(each.messages)
            yield unique[-1] if unique else field, text


@contextmanager
def within(part: str) -> Iterator[None]:
    """Faults of a part that is entered together with something else, named as its fields."""
    try:
        yield
    except RegisterError as error:
        faults = {
            part if field == NON_FIELD_ERRORS else f"{part}/{field}": text
            for field, text in error.faults.items()
        }
        raise RegisterError(f"{part}: {error}", faults) from error
