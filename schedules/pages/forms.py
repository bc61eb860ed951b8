"""What somebody may ask of a list, checked; every wrong value is answered with what to do."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from fleet.models import Owner, Person, Site
from fleet.quantities import VERDICT_ORDER
from schedules.due.lists import DueFilters
from schedules.wording import RULE_NAMES
from visits.wording.names import upper_first

MOST_SITES = 200
"""A list of choices longer than this helps nobody; sites are then found on their own page."""

FIRST_YEAR, LAST_YEAR = 1990, 2200
ANY = _("any")
VERDICT_CHOICES = [
    ("", ANY),
    (VERDICT_ORDER["watch"], _("watch or worse")),
    (VERDICT_ORDER["act"], _("act or worse")),
    (VERDICT_ORDER["stop"], _("stop")),
]
NOT_LISTED = {"invalid_choice": _("There is no such choice here; pick one from the list.")}
NOT_A_DAY = {"invalid": _("That is no day; write it as 2026-03-31.")}


def _pick(choices: list[Any], label: Any) -> forms.TypedChoiceField:
    return forms.TypedChoiceField(
        choices=choices,
        coerce=int,
        empty_value=None,
        required=False,
        label=label,
        error_messages=NOT_LISTED,
    )


class DueListForm(forms.Form):
    """The due list's filters; people of an owner choose among their own sites only."""

    owner = forms.ModelChoiceField(
        Owner.objects.none(),
        required=False,
        label=_("Owner"),
        empty_label=ANY,
        error_messages=NOT_LISTED,
    )
    site = forms.ModelChoiceField(
        Site.objects.none(),
        required=False,
        label=_("Site"),
        empty_label=ANY,
        error_messages=NOT_LISTED,
    )
    rule = _pick([], _("Driven by"))
    verdict = _pick(VERDICT_CHOICES, _("Worst open"))
    within = forms.IntegerField(
        required=False,
        min_value=0,
        max_value=3660,
        label=_("Days ahead"),
        error_messages={
            "invalid": _("Days are a whole number such as 14."),
            "min_value": _("Days are 0 or more."),
            "max_value": _("Days are 3660 at most."),
        },
    )
    on = forms.DateField(
        required=False,
        label=_("As of"),
        input_formats=["%Y-%m-%d"],
        error_messages=NOT_A_DAY,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    overdue = forms.BooleanField(required=False, label=_("Overdue only"))

    def __init__(self, asked: Any, *, person: Person) -> None:
        super().__init__(asked, label_suffix="")
        self.fields["owner"].queryset = Owner.objects.visible_to(person)  # type: ignore[attr-defined]
        self.fields["site"].queryset = Site.objects.visible_to(person)  # type: ignore[attr-defined]
        rules = [(int(number), upper_first(str(name))) for number, name in RULE_NAMES.items()]
        self.fields["rule"].choices = [("", ANY), *rules]  # type: ignore[attr-defined]
        if not person.works_here:
            del self.fields["owner"]
        if Site.objects.visible_to(person).count() > MOST_SITES:
            self.fields["site"].widget = forms.HiddenInput()

    def clean_on(self) -> date | None:
        """A day that calendars of fans can have."""
        on: date | None = self.cleaned_data["on"]
        if on is not None and not FIRST_YEAR <= on.year <= LAST_YEAR:
            raise forms.ValidationError(
                _("%(on)s is out of reach; give a day from %(first)s to %(last)s.")
                % {"on": on, "first": FIRST_YEAR, "last": LAST_YEAR}
            )
        return on

    @property
    def filters(self) -> DueFilters:
        """What was asked for; only once the form is valid."""
        told = self.cleaned_data
        return DueFilters(
            owner=told["owner"].pk if told.get("owner") else None,
            site=told["site"].pk if told["site"] else None,
            rule=told["rule"],
            verdict=told["verdict"],
            within_days=told["within"],
            overdue=told["overdue"],
        )
