"""Form fields in which hours, cooking classes and unreadable plate parts are written as words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from fleet.imports.column import Column
from fleet.imports.columns import FEED_COLUMNS, MACHINE_COLUMNS
from fleet.models import (
    Agreement,
    CookingPeriod,
    Feed,
    Machine,
    OperatingPeriod,
    Site,
    WorkingWeek,
)
from fleet.models.systems import COOKING_CLASSES
from fleet.opening import Opening, OpeningError, opening_text, parse_opening
from fleet.quantities import SPLIT_CAPACITOR, THREE_PHASE

ONE_IN_PLACE = "machine_one_in_place_per_fan"
SIGNS = {"(C)": "(°C)", "(uF)": "(µF)"}
CHOICE_WORDS = {
    "three_phase": _("three phase"), "psc": _("PSC, with run capacitor"),
    "ec": _("EC, electronics built in"), "drive_bypassed": _("drive, bypassed"),
}  # fmt: skip
PHASES_BY_MOTOR = {THREE_PHASE: 3, SPLIT_CAPACITOR: 1}


def labels_of(columns: Iterable[Column]) -> dict[str, str]:
    """What a file calls its columns, by field, with units as people write them."""
    labels = {}
    for column in columns:
        name, _blank, unit = column.heading.rpartition(" ")
        labels[column.field] = f"{name} {SIGNS[unit]}" if unit in SIGNS else column.heading
    return labels


class HoursField(forms.CharField):
    """Weekly hours as text; cleaned to an ``Opening``, or None where the field is empty."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault(
            "help_text", _("as in Mon-Sat 10:00-23:00; Sun 11-21, always, 18:00-02:00")
        )
        super().__init__(max_length=400, **kwargs)

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, Opening):
            return opening_text(value.spans, always=value.always)
        return opening_text(value) if isinstance(value, list) else value

    def clean(self, value: Any) -> Opening | None:
        text = super().clean(value)
        try:
            return parse_opening(text) if text else None
        except OpeningError as error:
            raise ValidationError(str(error), code="hours") from None


class SiteForm(forms.ModelForm):
    """A site whose hours are written as text."""

    roof_access_hours = HoursField(required=False)
    fan_stop_hours = HoursField(required=False)

    class Meta:
        model = Site
        fields = "__all__"

    def clean_roof_access_hours(self) -> Any:
        return self._spans("roof_access_hours")

    def clean_fan_stop_hours(self) -> Any:
        return self._spans("fan_stop_hours")

    def _spans(self, name: str) -> Any:
        opening = self.cleaned_data[name]
        return opening.spans if opening else None


class WorkingWeekForm(forms.ModelForm):
    """A technician's base, and hours written as text."""

    hours = HoursField(help_text=_("as in Mon-Fri 7:00-15:30; one span a day"))

    class Meta:
        model = WorkingWeek
        fields = (
            "base", "latitude", "longitude", "hours", "overtime_minutes", "reserve_minutes",
        )  # fmt: skip
        labels = {"base": _("Home base")}
        help_texts = {
            "base": _("the address from which rounds begin and where they end"),
            "overtime_minutes": _(
                "by so much a day's round may go past these hours or into the time kept free"
            ),
            "reserve_minutes": _("of each day's hours kept free for breakdowns and pauses"),
        }

    def clean_hours(self) -> Any:
        return self.cleaned_data["hours"].spans


class CookingForm(forms.ModelForm):
    """Cooking classes ticked off a list."""

    classes = forms.MultipleChoiceField(
        choices=[(code, code.replace("_", " ")) for code in COOKING_CLASSES],
        widget=forms.CheckboxSelectMultiple,
    )

    class Meta:
        model = CookingPeriod
        fields = ("valid_from", "classes")


class OperatingForm(forms.ModelForm):
    """Running hours written as text."""

    hours = HoursField()

    class Meta:
        model = OperatingPeriod
        fields = ("valid_from",)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            self.initial["hours"] = Opening(self.instance.spans, self.instance.always)

    def save(self, commit: bool = True) -> OperatingPeriod:
        hours: Opening = self.cleaned_data["hours"]
        self.instance.spans, self.instance.always = hours.spans, hours.always
        return super().save(commit)


class PlateForm(forms.ModelForm):
    """A form that offers words where its fields keep codes."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            if isinstance(field, forms.TypedChoiceField):
                self.offer(name, CHOICE_WORDS)

    def offer(self, name: str, by_code: Mapping[str, Any]) -> None:
        """Name the field's choices anew, those that have a word."""
        field: Any = self.fields[name]
        field.choices = [(code, by_code.get(code, word)) for code, word in field.choices]


class AgreementForm(forms.ModelForm):
    """An agreement; what is bought counts for each site by itself."""

    class Meta:
        model = Agreement
        fields = "__all__"
        help_texts = {"visits_per_year": _("for each site; empty: visits as due")}


class FeedForm(PlateForm):
    """A feed, its fields named as a file's columns are."""

    class Meta:
        model = Feed
        fields = "__all__"
        labels = labels_of(FEED_COLUMNS)


class MachineForm(PlateForm):
    """A machine; that only one is in place is looked at over all of a fan's machines together."""

    unreadable = forms.MultipleChoiceField(
        choices=[(c.field, c.heading) for c in MACHINE_COLUMNS if c.may_be_unreadable],
        required=False,
        help_text=_("parts of the plate that nobody could read"),
    )

    class Meta:
        model = Machine
        exclude = ("first_here",)
        labels = labels_of(MACHINE_COLUMNS)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        phases = PHASES_BY_MOTOR.get(self.instance.motor_type)
        if phases is not None and self.instance.phases is None:
            known = _("{phases}, by the type of motor").format(phases=phases)
            self.offer("phases", {"": known})

    def validate_constraints(self) -> None:
        """All but the one that also needs the other forms."""
        exclude = self._get_validation_exclusions()  # type: ignore[attr-defined]
        for constraint in Machine._meta.constraints:
            if constraint.name != ONE_IN_PLACE:
                try:
                    constraint.validate(Machine, self.instance, exclude=exclude)
                except ValidationError as error:
                    self.add_error(None, error)


class MachineFormSet(forms.BaseInlineFormSet):
    """All machines of one fan: one in place, the ones before it removed."""

    def clean(self) -> None:
        super().clean()
        kept = [form for form in self.forms if form not in self.deleted_forms]
        said = [form for form in kept if form.has_changed() or form.instance.pk]
        in_place = [form for form in said if not form.cleaned_data.get("removed_on")]
        if len(in_place) > 1:
            raise ValidationError(
                _("Only one machine can be in place; say when the other was removed."),
                code="two_in_place",
            )

    def save_new(self, form: Any, commit: bool = True) -> Any:
        """A machine beside others came after them: its start has to be checked."""
        form.instance.first_here = not self.initial_form_count()
        return super().save_new(form, commit)
