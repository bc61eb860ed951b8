"""An owner's yes or no to one more visit than was bought, in words."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from schedules.wording.days import day_text
from visits.models import VisitAnswer
from visits.wording import words
from visits.wording.names import Words

TO_VISIT: Words = {
    "go_ahead": gettext_lazy("Yes to one more visit (number {number} in the year from {year})"),
    "declined": gettext_lazy("No to one more visit (number {number} in the year from {year})"),
    "question": gettext_lazy(
        "A question about one more visit (number {number} in the year from {year})"
    ),
}


def visit_answer_text(row: VisitAnswer) -> str:
    """``Yes to one more visit (number 5 in the year from Thu 1 Jan 2026). (A. Reyes, …)``."""
    told = words(TO_VISIT, row.answer).format(number=row.number, year=day_text(row.year_on))
    told = f"{told}: “{note}”" if (note := row.note.strip()) else f"{told}."
    return _("{told} ({who}, {day})").format(
        told=told, who=row.decided_by, day=day_text(row.decided_on)
    )
