"""An owner's yes or no to a visit beyond those bought: one record, and the letters that tell it."""

from __future__ import annotations

from datetime import datetime
from functools import partial
from typing import Any

from django.core.exceptions import PermissionDenied
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from config.collisions import in_one_transaction
from fleet.models import OwnerLink, Person, Site
from schedules.answering import Given, NotAnsweredError, Shown, refuse_flood, tell, who_text
from schedules.notices.answered import Said
from schedules.owner_page.gathering import read_visit
from schedules.wording import visit_answer_text
from schedules.wording.days import moment_text
from visits.models import VisitAnswer
from visits.wording import words
from visits.wording.names import Words

SUBJECTS: Words = {
    "go_ahead": gettext_lazy("Yes to one more visit: {site}"),
    "declined": gettext_lazy("No to one more visit: {site}"),
    "question": gettext_lazy("A question about one more visit: {site}"),
}
NEXT: Words = {
    "go_ahead": gettext_lazy("Whoever plans our visits is told now and settles a day with you."),
    "declined": gettext_lazy(
        "We do not come for these dates, and the weekly letter names these fans no more. What is "
        "due stays due on record; a fan marked stop stays off."
    ),
    "question": gettext_lazy(
        "Whoever plans our visits has your question and answers you. The visit still waits for a "
        "yes or no."
    ),
}


@in_one_transaction
def answer_visit(
    *, link: OwnerLink, site: Site, shown: Shown, given: Given, now: datetime
) -> VisitAnswer:
    """Record the answer once, and owe the letters that tell of it.

    The same page sent again gives back its answer.  Raises NotAnsweredError where something came
    between, Site.DoesNotExist where the site is not the owner's.
    """
    held = Site.objects.filter(owner=link.owner_id).select_related("owner")
    site = held.select_for_update(of=("self",), no_key=True).get(pk=site.pk)
    there = VisitAnswer.objects.filter(pk=shown.answer_id).first()
    if there is not None:
        return _same(there, link, given)
    file = read_visit(link, site, now)
    if file is None:
        raise NotAnsweredError("unneeded")
    if file.state != shown.last:
        raise NotAnsweredError("answered")
    refuse_flood(link, now)
    row = VisitAnswer.objects.create(
        id=shown.answer_id, site=site, year_on=file.beyond.year_on, number=file.beyond.number,
        answer=given.answer, decided_on=now.astimezone(site.zone).date(), decided_by=given.name,
        note=given.note, link=link, shown=shown.text, received_at=now,
    )  # fmt: skip
    _tell(row, now)
    return row


@in_one_transaction
def note_visit_answer(*, site: Site, given: Given, by: Person, now: datetime) -> VisitAnswer:
    """Record what the owner said by phone or letter; it is confirmed as one given by a link.

    Raises NotAnsweredError where no visit there waits for a yes, PermissionDenied for who does not
    plan.
    """
    if not by.plans:
        raise PermissionDenied("Only managers and dispatchers note what owners say to visits.")
    held = Site.objects.select_for_update(of=("self",), no_key=True).select_related("owner")
    site = held.get(pk=site.pk)
    file = read_visit(by, site, now)
    if file is None or file.beyond.answer:
        raise NotAnsweredError("unneeded")
    row = VisitAnswer.objects.create(
        site=site, year_on=file.beyond.year_on, number=file.beyond.number, answer=given.answer,
        decided_on=now.astimezone(site.zone).date(), decided_by=given.name, note=given.note,
        recorded_by=by, shown=file.shown, received_at=now,
    )  # fmt: skip
    _tell(row, now)
    return row


def _same(there: VisitAnswer, link: OwnerLink, given: Given) -> VisitAnswer:
    told = Given(there.answer, there.decided_by, note=there.note)
    if there.link_id != link.pk or told != given:
        raise NotAnsweredError("used")
    return there


def _tell(row: VisitAnswer, now: datetime) -> None:
    saying = partial(_said, row, now)
    tell(row.site.owner, str(row.pk), saying, now, is_question=not row.is_answer)


def _said(row: VisitAnswer, now: datetime) -> Said:
    return Said(
        subject=words(SUBJECTS, row.answer).format(site=row.site.name),
        heading=_("{site}: {answer}").format(site=row.site.name, answer=visit_answer_text(row)),
        who=_who(row, now.astimezone(row.site.zone)),
        shown=row.shown,
        next=words(NEXT, row.answer),
        path=reverse("site_page", args=[row.site_id]),
    )


def _who(row: VisitAnswer, local: datetime) -> str:
    if row.recorded_by is None:
        return who_text(row.decided_by, local)
    return _("Told to us by {name}, noted by {by} on {when}.").format(
        name=row.decided_by,
        by=row.recorded_by.called,
        when=moment_text(local),
    )


def visit_answer_of(link: OwnerLink, **which: Any) -> VisitAnswer | None:
    """One answer given to a visit of the owner's, for its receipt."""
    rows = VisitAnswer.objects.filter(site__owner=link.owner_id, link__isnull=False, **which)
    return rows.select_related("site").first()
