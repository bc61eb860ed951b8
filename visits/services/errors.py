"""Errors of the record's services beside PayloadError, which tells what is wrong with a payload."""

from __future__ import annotations

from django.utils.translation import gettext as _


class PayloadConflictError(Exception):
    """Another record already has this id; the text says nothing about that record."""

    def __init__(self) -> None:
        super().__init__(
            _(
                "this id already belongs to another record; send a new record under a new id, or a "
                "correction that supersedes the old one"
            )
        )
