"""What a site's page shows of bookings, with the forms by which they are made and moved."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time
from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext_lazy as _

from fleet.models import Person, Site, technicians
from schedules import wording
from schedules.bookings.services import Terms
from schedules.models import Booking
from visits.wording.names import upper_first

MOST_SHOWN = 20
NOT_A_DAY = {"invalid": _("That is no day; write it as 2026-03-31.")}
NOT_A_TIME = {"invalid": _("That is no time; write it as 09:30.")}


class MinuteField(forms.TimeField):
    """A clock reading as a minute of the day."""

    widget = forms.TimeInput(attrs={"type": "time"}, format="%H:%M")

    def clean(self, value: Any) -> int | None:
        """The minute of the day, 0 to 1439; None where nothing was entered."""
        read: time | None = super().clean(value)
        return None if read is None else read.hour * 60 + read.minute

    def prepare_value(self, value: Any) -> Any:
        return time(*divmod(value % 1440, 60)) if isinstance(value, int) else value


class TechnicianField(forms.ModelChoiceField):
    """Technicians who work here, by name."""

    def label_from_instance(self, obj: Person) -> str:
        return obj.called


class BookingForm(forms.Form):
    """Who comes when; ``seen`` is the sequence that whoever moves a booking looked at."""

    technician = TechnicianField(
        Person.objects.none(),
        label=_("Technician"),
        empty_label=_("choose"),
        error_messages={"invalid_choice": _("There is no such technician; pick one of the list.")},
    )
    day = forms.DateField(
        label=_("Day"),
        input_formats=["%Y-%m-%d"],
        error_messages=NOT_A_DAY,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    from_minute = MinuteField(required=False, label=_("From"), error_messages=NOT_A_TIME)
    until_minute = MinuteField(required=False, label=_("Until"), error_messages=NOT_A_TIME)
    note = forms.CharField(required=False, max_length=500, label=_("Note for the technician"))
    seen = forms.IntegerField(required=False, min_value=0, widget=forms.HiddenInput())

    def __init__(self, asked: Any = None, **kwargs: Any) -> None:
        super().__init__(asked, label_suffix="", **kwargs)
        self.fields["technician"].queryset = technicians().order_by(  # type: ignore[attr-defined]
            "last_name", "first_name", "username"
        )

    def offer(self, choices: Sequence[tuple[Any, Any]]) -> BookingForm:
        """The same form with technicians read before: many on a page ask for them once."""
        self.fields["technician"].choices = choices  # type: ignore[attr-defined]
        return self

    @property
    def terms(self) -> Terms:
        """What was entered; only once the form is valid."""
        told = self.cleaned_data
        names = ("technician", "day", "from_minute", "until_minute", "note")
        return Terms(**{name: told[name] for name in names})

    def refuse(self, faults: Mapping[str, str]) -> None:
        """Show a service's complaints beside their fields."""
        for field, text in faults.items():
            self.add_error(field if field in self.fields else None, f"{upper_first(text)}.")


@dataclass(frozen=True)
class Refused:
    """A form that was turned down; ``booking_id`` None for a new booking."""

    form: BookingForm | None
    booking_id: UUID | None = None
    problem: str = ""


@dataclass(frozen=True)
class ShownBooking:
    """A booking in words, with its form for those who plan."""

    id: UUID
    when: str
    who: str
    note: str
    sequence: int
    is_withdrawn: bool
    reason: str
    form: BookingForm | None
    is_open: bool


def show_bookings(
    site: Site, today: date, reader: Any, refused: Refused | None = None
) -> dict[str, Any]:
    """Bookings of today and later, withdrawn ones struck through, and a form for a new one."""
    visible = Booking.objects.visible_to(reader).filter(site=site, day__gte=today)
    rows = visible.select_related("technician").order_by("day", "from_minute", "id")[:MOST_SHOWN]
    is_new = refused is not None and refused.booking_id is None
    choices = list(BookingForm().fields["technician"].choices) if reader.plans else []  # type: ignore[attr-defined]
    return {
        "shown": [_shown(row, reader, refused, choices) for row in rows],
        "form": _new_form(refused if is_new else None, today, choices) if reader.plans else None,
        "is_open": is_new,
        "problem": refused.problem if refused else "",
    }


Choices = Sequence[tuple[Any, Any]]


def _new_form(refused: Refused | None, today: date, choices: Choices) -> BookingForm:
    form = refused.form if refused and refused.form else BookingForm().offer(choices)
    form.fields["day"].widget.attrs["min"] = today.isoformat()
    return form


def _shown(row: Booking, reader: Any, refused: Refused | None, choices: Choices) -> ShownBooking:
    mine = refused if refused and refused.booking_id == row.pk else None
    form = mine.form if mine and mine.form else None
    if form is None and reader.plans and not row.withdrawn_at:
        form = BookingForm(initial=_initial(row), auto_id=f"{row.pk}_%s").offer(choices)
    return ShownBooking(
        id=row.pk,
        when=wording.when_booked_text(row),
        who=wording.technician_name(row.technician) if reader.works_here else "",
        note=row.note if reader.works_here else "",
        sequence=row.sequence,
        is_withdrawn=row.withdrawn_at is not None,
        reason=row.withdrawn_reason,
        form=form if reader.plans else None,
        is_open=mine is not None,
    )


def _initial(row: Booking) -> dict[str, Any]:
    return {
        "technician": row.technician_id, "day": row.day, "from_minute": row.from_minute,
        "until_minute": row.until_minute, "note": row.note, "seen": row.sequence,
    }  # fmt: skip
