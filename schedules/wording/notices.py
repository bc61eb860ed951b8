"""What became of an email, in words."""

from __future__ import annotations

from datetime import datetime

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from schedules.models import Notice


def state_text(notice: Notice) -> str:
    """``Sent Mon 15 Jun 2026, 14:05``, or why not."""
    if notice.sent_at:
        return _("Sent {at}.").format(at=_at(notice.sent_at))
    if notice.given_up_at:
        return _("Given up {at}. {fault}").format(at=_at(notice.given_up_at), fault=notice.fault)
    if notice.fault:
        return _("Tried {tries} times, again after {at}. {fault}").format(
            tries=notice.tries, at=_at(notice.send_after), fault=notice.fault
        )
    return _("Owed since {at}; goes within minutes.").format(at=_at(notice.owed_at))


def _at(moment: datetime) -> str:
    return date_format(moment, "D j M Y, H:i e")
