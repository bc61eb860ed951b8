"""The one error of the register's services."""

from __future__ import annotations

from django.core.exceptions import ValidationError


class RegisterError(ValueError):
    """A change the register cannot take; the text says what was wrong and seen, and what to do."""


def refuse_invalid(error: ValidationError) -> RegisterError:
    """The same complaint in the words of a service, each field named."""
    if not hasattr(error, "error_dict"):
        return RegisterError(" ".join(error.messages))
    told = [f"{field}: {' '.join(texts)}" for field, texts in error.message_dict.items()]
    return RegisterError("; ".join(told))
