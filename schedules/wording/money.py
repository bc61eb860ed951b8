"""Amounts of money, in the one currency of the install (CURRENCY, ISO 4217)."""

from __future__ import annotations

from decimal import Decimal

from django.conf import settings
from django.utils.formats import number_format
from django.utils.translation import gettext as _

Amount = Decimal | float


def money_text(amount: Amount) -> str:
    """``1,480 USD`` or ``79.50 USD``: whole amounts without the part behind the point."""
    return _with_currency(_figure(amount))


def money_range(low: Amount, high: Amount) -> str:
    """``10 to 400 USD``, or ``up to 400 USD`` from nothing."""
    if low == 0:
        return _("up to {high}").format(high=money_text(high))
    told = _("{low} to {high}").format(low=_figure(low), high=_figure(high))
    return _with_currency(told)


def _figure(amount: Amount) -> str:
    places = 0 if amount == int(amount) else 2
    return number_format(amount, places, use_l10n=True, force_grouping=True)


def _with_currency(text: str) -> str:
    return f"{text} {settings.CURRENCY}"
