"""Whether an agreement leaves a cost to us, for owners."""

from __future__ import annotations

from decimal import Decimal

from django.utils.translation import gettext as _

from schedules.due.bought import is_left_to_us
from schedules.wording.money import money_text


def limit_told(cost: Decimal, limit: Decimal | None) -> str:
    """Of what is advised at ``cost``; ``limit`` is None where none is agreed."""
    if limit is None:
        return _("No spending limit is agreed: it needs your yes.")
    told = (
        _("Within the {limit} that your agreement lets us spend without asking: we need no answer. "
          "Say so if you do not want it, or not yet.")
        if is_left_to_us(cost, limit)
        else _("Above the {limit} that your agreement lets us spend without asking: it needs your "
               "yes.")
    )  # fmt: skip
    return told.format(limit=money_text(limit))
