"""What became of an email, in words."""

from __future__ import annotations

from datetime import datetime

from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from schedules.models import Notice


def state_text(notice: Notice, *, refused: bool = False) -> str:
    """``Sent Mon 15 Jun 2026, 14:05 UTC.``, or why not; ``refused``: its address takes no mail."""
    if notice.sent_at:
        return _("Sent {at}.").format(at=at_text(notice.sent_at))
    if notice.fault == Notice.LEFT:
        return _("Not sent: they have left these letters.")
    if notice.given_up_at:
        return _("Given up {at}. {fault}").format(
            at=at_text(notice.given_up_at), fault=notice.fault
        )
    if refused:
        return (
            _("Written {at}; waits, for its address takes no mail. {fault}")
            .format(at=at_text(notice.owed_at), fault=notice.fault)
            .rstrip()
        )
    if notice.fault:
        return _("Tried {tries} times; next try after {at}. {fault}").format(
            tries=notice.tries, at=at_text(notice.send_after), fault=notice.fault
        )
    return _("Written {at}; goes within minutes.").format(at=at_text(notice.owed_at))


def at_text(moment: datetime) -> str:
    """``Mon 15 Jun 2026, 14:05 UTC``, by the clock that is in force."""
    return date_format(localtime(moment), "D j M Y, H:i e")
