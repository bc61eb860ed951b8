"""What a digest is, and what is missed without it."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _

from schedules.models import Notice, Subscription


@dataclass(frozen=True)
class LeavingText:
    """Which emails these are, what nobody tells their reader then, what still comes."""

    what: str
    missed: str
    still: str


def leaving_text(subscription: Subscription) -> LeavingText:
    """In the words of the page on which they are left."""
    if subscription.kind == Notice.Kind.OVERDUE:
        return LeavingText(
            _("The weekly email to {name} about overdue fans").format(name=subscription.reader),
            _(
                "Nobody at {name} is then told by email that an inspection or a visit is overdue, "
                "however long it is. An overdue code inspection stays overdue whether you read of "
                "it or not."
            ).format(name=subscription.reader),
            _(
                "Stops, fans out of service, advice that waits for your answer and confirmations "
                "still come by email. Those who plan your visits see that you get no weekly email."
            ),
        )
    if subscription.kind == Notice.Kind.MONDAY:
        what = _("The Monday list of the week ahead for {name}")
        missed = _(
            "What became overdue, what moved and whom no email reaches is then only on the pages."
        )
    else:
        what = _("The weekly summary for {name}")
        missed = _("What was done, missed and decided in a week is then only on the pages.")
    still = _("Other emails still come. Planners see on the page of notices who left which.")
    return LeavingText(what.format(name=subscription.reader), missed, still)
