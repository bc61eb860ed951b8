"""One pattern: its failures read downwards, what stood around each, and how it is closed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST, require_safe

from fleet.quantities import is_of_belt
from fleet.services.errors import RegisterError
from schedules.models import Pattern
from schedules.pages.done.asking import member_of_company
from schedules.pages.patterns.telling import Line, failure_lines, failure_when
from schedules.patterns.closing import MOST_WORDS, Words, close_pattern
from schedules.patterns.course import read_course
from schedules.patterns.evidence import Evidence, read_evidence
from schedules.patterns.machines import machine_counts
from schedules.wording import day_text
from schedules.wording.causes import cause_text
from schedules.wording.patterns import (
    closing_text,
    compared_text,
    course_text,
    item_name,
    pattern_text,
)
from schedules.wording.seen import no_belt_here
from schedules.wording.tallies import machines_text
from visits.services.beltless import had_no_belt
from visits.wording import subject_words
from visits.wording.names import upper_first


class ClosingForm(forms.Form):
    """A cause or a reason; how many failures were seen comes along."""

    failures = forms.IntegerField(widget=forms.HiddenInput)
    cause = forms.CharField(
        label=gettext_lazy("Cause that was found"), required=False, max_length=MOST_WORDS
    )
    reason = forms.CharField(
        label=gettext_lazy("or why it is closed without one"), required=False, max_length=MOST_WORDS
    )

    def __init__(self, asked: Any = None, **kwargs: Any) -> None:
        super().__init__(asked, label_suffix="", **kwargs)


@dataclass(frozen=True)
class ShownFailure:
    """A failure as an entry."""

    when: str
    lines: Sequence[Line]


@require_safe
def pattern_page(request: HttpRequest, pattern_id: int) -> HttpResponse:
    """One pattern, to the company's people."""
    member_of_company(request)
    return _show(request, _found(pattern_id))


@require_POST
def close_page(request: HttpRequest, pattern_id: int) -> HttpResponse:
    """Take the cause or the reason."""
    person, row = member_of_company(request), _found(pattern_id)
    if not person.plans:
        raise PermissionDenied
    form = ClosingForm(request.POST)
    if form.is_valid():
        words = Words(**form.cleaned_data)
        try:
            close_pattern(pattern_id=row.pk, words=words, by=person, now=timezone.now())
        except RegisterError as error:
            for field, text in (error.faults or {"": str(error)}).items():
                form.add_error(field if field in form.fields else None, f"{upper_first(text)}.")
        else:
            messages.success(request, _("Closed; it comes back if that item fails anew."))
            return redirect("pattern_page", pattern_id=row.pk)
    return _show(request, row, form)


def _found(pattern_id: int) -> Pattern:
    row = Pattern.objects.with_closings().filter(pk=pattern_id).first()
    if row is None:
        raise Http404
    return row


def _causes(evidence: Evidence) -> list[str]:
    told = (cause_text(each.cause) for each in evidence.failures if each.cause)
    return list(dict.fromkeys(told))


def _doubt(row: Pattern) -> str:
    """That it is a belt's and the fan had none by the register when it failed last."""
    if not is_of_belt(row.item):
        return ""
    machines = row.fan.machines.values("installed_on", "removed_on", "drive", "unreadable")
    return no_belt_here() if had_no_belt(machines, row.last_on) else ""


def _show(request: HttpRequest, row: Pattern, refused: ClosingForm | None = None) -> HttpResponse:
    evidence = read_evidence(row)
    may = row.may_be_closed_by(request.user)
    form = refused or (ClosingForm(initial={"failures": row.failures}) if may else None)
    context: dict[str, Any] = {
        "row": row,
        "item": item_name(row),
        "sentence": pattern_text(row),
        "compared": compared_text(row),
        "doubt": _doubt(row),
        "common": ", ".join(subject_words(name) for name in evidence.common),
        "failures": [
            ShownFailure(failure_when(each), list(failure_lines(each)))
            for each in reversed(evidence.failures)
        ],
        "call_backs": list(dict.fromkeys(day_text(each.on) for each in evidence.call_backs)),
        "in_warranty": sum(each.in_warranty for each in evidence.failures),
        "without_cause": sum(each.without_cause for each in evidence.failures),
        "causes": _causes(evidence),
        "cause_told": not row.is_open and any(
            each.cause and not each.is_taken_back for each in row.closings.all()
        ),
        "machines": machines_text(row, machine_counts(row, evidence.failures)),
        "course": course_text(read_course(row.fan, timezone.now())),
        "closings": [closing_text(each) for each in row.closings.all()],
        "form": form,
    }  # fmt: skip
    status = 409 if refused else 200
    return render(request, "schedules/patterns/one.html", context, status=status)
