"""What people do by a link: answer advice, say whether fans run; what a planner does about links.

Each is one transaction: the record, its dates, and the letters then owed.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import partial
from typing import Any
from uuid import UUID

from django.core import signing
from django.urls import reverse
from django.utils.translation import gettext as _

from config.collisions import in_one_transaction
from fleet.models import Owner, OwnerLink
from schedules import wording
from schedules.engine.codes import STOP
from schedules.models import DueState, Notice
from schedules.notices.advice.asking import standing_advice
from schedules.notices.answered import Said, Saying, confirm_to_owner, tell_planners
from schedules.notices.writing import write_letter
from schedules.owner_page.advice import advice_of, answer_text
from schedules.services import log_decision
from schedules.wording.days import moment_text
from visits.models import Decision, Recommendation, VisitAnswer
from visits.wording import ANSWERS, owner_subject, words
from visits.wording.names import upper_first

SALT = "schedules.answering"
MOST_A_DAY = 60
"""Answers an owner's links may give within a day; our choice, against a flood of letters."""


class NotAnsweredError(Exception):
    """The answer was not taken; ``why`` is ``answered``, ``corrected``, ``settled``, ``unneeded``
    or ``flood``; ``used`` tells a page that gave another answer already.
    """

    def __init__(self, why: str) -> None:
        super().__init__(why)
        self.why = why


@dataclass(frozen=True)
class Shown:
    """What a page showed before it was answered: ``about`` what, its last answer then, the text.

    It travels in the form, signed; ``answer_id`` lets one page give one answer.
    """

    about: str
    answer_id: UUID
    last: str
    text: str

    def signed(self, link: OwnerLink) -> str:
        """As the form carries it, good for this link alone."""
        told = [self.about, str(self.answer_id), self.last, self.text]
        return signing.dumps(told, salt=f"{SALT}.{link.pk}", compress=True)

    @staticmethod
    def read(text: str, link: OwnerLink) -> Shown | None:
        """What ``signed`` gave to this link; None for anything else."""
        try:
            about, answer, last, shown = signing.loads(text, salt=f"{SALT}.{link.pk}")
        except (signing.BadSignature, ValueError):
            return None
        return Shown(about, UUID(answer), last, shown)


@dataclass(frozen=True)
class Given:
    """What the owner chose and typed."""

    answer: str
    name: str
    not_before: date | None = None
    note: str = ""


@in_one_transaction
def answer_advice(*, link: OwnerLink, shown: Shown, given: Given, now: datetime) -> Decision:
    """Record the answer once, move the fan's dates, and owe the letters that tell of it.

    The same page sent again gives back its answer.  Raises NotAnsweredError where something came
    between, Recommendation.DoesNotExist where the advice is not the owner's, PayloadError where
    the record takes no such answer.
    """
    held = advice_of(link).select_related("fan__site__owner", "visit")
    advice = held.select_for_update(of=("self",), no_key=True).get(pk=shown.about)
    there = Decision.objects.filter(pk=shown.answer_id).first()
    if there is not None:
        return _same(there, link, given)
    _refuse_overtaken(advice, shown, link, now)
    payload = {
        "id": str(shown.answer_id), "type": "decision", "recommendation": str(advice.pk),
        "answer": given.answer, "on": now.astimezone(advice.fan.site.zone).date().isoformat(),
        "decided_by": given.name, "note": given.note,
    }  # fmt: skip
    if given.not_before:
        payload["not_before"] = given.not_before.isoformat()
    logged = log_decision(payload=payload, by=None, now=now)
    Decision.objects.filter(pk=shown.answer_id).update(link=link, shown=shown.text)
    decision = Decision.objects.select_related("fan__site__owner").get(pk=shown.answer_id)
    saying = partial(said_of, decision, logged.due, now)
    owner, period = decision.fan.site.owner, str(decision.pk)
    tell(owner, period, saying, now, is_question=not decision.is_answer)
    return decision


def _same(there: Decision, link: OwnerLink, given: Given) -> Decision:
    told = Given(there.answer, there.decided_by, there.not_before, there.note)
    if there.link_id != link.pk or told != given:
        raise NotAnsweredError("used")
    return there


def _refuse_overtaken(advice: Recommendation, shown: Shown, link: OwnerLink, now: datetime) -> None:
    """Nobody answers what the page no longer shows as it is."""
    last = advice.answer
    if getattr(advice.visit, "superseded_by", None) is not None:
        raise NotAnsweredError("corrected")
    if (str(last.pk) if last else "") != shown.last:
        raise NotAnsweredError("answered")
    if not standing_advice(Recommendation.objects.filter(pk=advice.pk)):
        raise NotAnsweredError("settled")
    refuse_flood(link, now)


def refuse_flood(link: OwnerLink, now: datetime) -> None:
    """Raises NotAnsweredError where the owner's links gave too many answers within a day."""
    lately = {"link__owner": link.owner_id, "received_at__gt": now - timedelta(days=1)}
    given = sum(rows.filter(**lately).count() for rows in (Decision.objects, VisitAnswer.objects))
    if given >= MOST_A_DAY:
        raise NotAnsweredError("flood")


def tell(owner: Owner, period: str, saying: Saying, now: datetime, *, is_question: bool) -> None:
    """Owe the owner its confirmation, and those who plan the same."""
    kind = Notice.Kind.TOLD if is_question else Notice.Kind.DECIDED
    confirmed = confirm_to_owner(owner, period, saying, now)
    for letter in [*([confirmed] if confirmed else []), *tell_planners(kind, period, saying)]:
        write_letter(letter, now)


def said_of(decision: Decision, due: tuple[DueState, ...], now: datetime) -> Said:
    """An answer as letters tell it."""
    fan, site = decision.fan, decision.fan.site
    answer = words(ANSWERS, decision.answer)
    subject = _("{answer}: {tag} at {site}, {what}").format(
        answer=upper_first(answer),
        tag=fan.tag,
        site=site.name,
        what=owner_subject(decision.subject),
    )
    return Said(
        subject=subject,
        heading=answer_text(decision),
        who=who_text(decision.decided_by, now.astimezone(site.zone)),
        shown=decision.shown,
        next=next_text(decision, due[0] if due else None),
        path=reverse("fan_page", args=[fan.pk]) + "#entries",
    )


def who_text(name: str, local: datetime) -> str:
    """Whose name was typed, and when by the site's clock."""
    return _("Given by the owner's link on {when}, under the name {name}.").format(
        when=moment_text(local), name=name
    )


def next_text(decision: Decision, due: DueState | None) -> str:
    """What happens now, as far as anybody here can say."""
    told: dict[str, str] = {
        "go_ahead": _("Whoever plans our visits is told now and settles a day with you."),
        "not_now": _("Nothing is done until you say so. The fault stays on record."),
        "declined": _("Nothing is done. The fault stays on record and is looked at again."),
        "question": _("Whoever plans our visits has your question and answers you. The advice "
                      "still waits for a yes or no."),
    }  # fmt: skip
    parts = [told[decision.answer]]
    if decision.answer == "not_now" and decision.not_before:
        parts[0] = _("Nothing is done before {day}. The fault stays on record.").format(
            day=wording.day_text(decision.not_before)
        )
    if due is not None and due.worst_verdict == STOP and decision.answer != "go_ahead":
        parts.append(
            _("If it must not run, it stays off until qualified people have put it right.")
        )
    if due is not None and due.due_on:
        told_due = (
            _("A visit to this fan has been due since {day}.")
            if due.due_on < decision.decided_on
            else _("This fan's next visit is due {day}.")
        )
        parts.append(told_due.format(day=wording.day_text(due.due_on)))
    return " ".join(parts)


def answers_of(link: OwnerLink, **which: Any) -> Decision | None:
    """One answer given on the owner's advice, for its receipt."""
    rows = Decision.objects.filter(fan__site__owner=link.owner_id, link__isnull=False, **which)
    return rows.select_related("fan__site", "recommendation").first()
