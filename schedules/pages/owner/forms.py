"""What somebody types by a link: an answer, a name; every complaint beside its field."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from config.characters import code_point, hidden_in
from schedules import wording
from schedules.answering import Given
from visits.models import Decision, RunningTold, VisitAnswer

LONGEST_NAME, LONGEST_NOTE = 120, 2000
LONGEST_WAIT = timedelta(days=365)
"""How far ahead "not now until" may reach; our choice."""
LATER, QUESTION = Decision.Answer.NOT_NOW, Decision.Answer.QUESTION


class NameField(forms.CharField):
    """A name on one line."""

    def __init__(self, *, autocomplete: str = "name", **kwargs: Any) -> None:
        kwargs.setdefault("error_messages", {"required": _("Type your name: it stands under it.")})
        widget = forms.TextInput(attrs={"autocomplete": autocomplete})
        kwargs.setdefault("label", _("Your name"))
        super().__init__(max_length=LONGEST_NAME, widget=widget, **kwargs)

    def clean(self, value: Any) -> str:
        text = " ".join(str(super().clean(value)).split())
        _refuse_hidden(text, name=True)
        if not any(sign.isalnum() for sign in text):
            raise ValidationError(self.error_messages["required"], code="required")
        return text


class NoteField(forms.CharField):
    """Free words on several lines."""

    def __init__(self, **kwargs: Any) -> None:
        widget = forms.Textarea(attrs={"rows": 3})
        super().__init__(max_length=LONGEST_NOTE, widget=widget, required=False, **kwargs)

    def clean(self, value: Any) -> str:
        # A browser sends CRLF; the record and its hash know one kind of line end.
        text = "\n".join(str(super().clean(value)).splitlines()).strip()
        _refuse_hidden(text)
        return text


def _refuse_hidden(text: str, *, name: bool = False) -> None:
    if sign := hidden_in(text, name=name):
        told = _("This text holds a hidden character, %(sign)s; type it again.")
        raise ValidationError(told, params={"sign": code_point(sign)}, code="hidden")


class Choice(forms.ChoiceField):
    """One of a few, each as a line to tick."""

    def __init__(self, *, choices: Any, complaint: Any) -> None:
        told = {"required": complaint, "invalid_choice": complaint}
        label, widget = _("Choose one"), forms.RadioSelect
        super().__init__(label=label, choices=choices, widget=widget, error_messages=told)


class AnswerForm(forms.Form):
    """An answer or a question, under a typed name; each kind has its own ``answer``."""

    note = NoteField(label=_("Your question, or a note"))
    name = NameField()
    page = forms.CharField(widget=forms.HiddenInput, max_length=40_000)

    def __init__(self, data: Any = None, *, initial: Any = None) -> None:
        super().__init__(data, initial=initial, label_suffix="")

    def clean(self) -> dict[str, Any]:
        told: dict[str, Any] = super().clean() or {}
        if told.get("answer") == QUESTION and not told.get("note") and "note" not in self.errors:
            self.add_error("note", _("Write your question here."))
        return told

    @property
    def given(self) -> Given:
        """What was chosen and typed."""
        told = self.cleaned_data
        return Given(told["answer"], told["name"], told.get("not_before"), told["note"])


class VisitForm(AnswerForm):
    """Yes or no to one more visit, or a question."""

    answer = Choice(
        choices=[
            (VisitAnswer.Answer.GO_AHEAD, _("Yes, come")),
            (VisitAnswer.Answer.DECLINED, _("No, do not come")),
            (VisitAnswer.Answer.QUESTION, _("I have a question first")),
        ],
        complaint=_("Choose one of the three."),
    )


class ToldForm(AnswerForm):
    """What an owner said by phone or letter to one more visit, as somebody here notes it."""

    answer = Choice(
        choices=[(VisitAnswer.Answer.GO_AHEAD, _("Yes")), (VisitAnswer.Answer.DECLINED, _("No"))],
        complaint=_("Choose yes or no."),
    )
    name = NameField(
        label=_("Who said so"),
        autocomplete="off",
        error_messages={"required": _("Type who said so: it stands under it.")},
    )
    note = NoteField(label=_("A note"))
    page = None  # type: ignore[assignment]  # no page was shown


class AdviceForm(AnswerForm):
    """Go ahead, not now, no, or a question."""

    answer = Choice(
        choices=[
            (Decision.Answer.GO_AHEAD, _("Go ahead")),
            (LATER, _("Not now")),
            (Decision.Answer.DECLINED, _("No, we decline")),
            (QUESTION, _("I have a question first")),
        ],
        complaint=_("Choose one of the four."),
    )
    not_before = forms.DateField(
        label=_("Not now: until when?"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        error_messages={"invalid": _("Write a day, as 2026-08-31.")},
    )

    def __init__(self, data: Any = None, *, today: date, initial: Any = None) -> None:
        super().__init__(data, initial=initial)
        self.today = today
        bounds = {"min": today + timedelta(days=1), "max": today + LONGEST_WAIT}
        self.fields["not_before"].widget.attrs |= {k: v.isoformat() for k, v in bounds.items()}

    def clean(self) -> dict[str, Any]:
        told = super().clean()
        answer, until = told.get("answer"), told.get("not_before")
        if answer == LATER and "not_before" not in self.errors:
            self._check_day(until)
        elif until and answer:
            self.add_error(
                "not_before", _("A day goes with “Not now” only; clear it, or choose that.")
            )
        return told

    def _check_day(self, until: date | None) -> None:
        last = self.today + LONGEST_WAIT
        if until is None:
            self.add_error("not_before", _("Choose the day until which we wait."))
        elif not self.today < until <= last:
            told = _("%(day)s is no day between tomorrow and %(last)s.")
            days = {"day": wording.day_text(until), "last": wording.day_text(last)}
            self.add_error("not_before", ValidationError(told, params=days))


class RunningForm(forms.Form):
    """Running or not, for each fan of a site, under a typed name."""

    name = NameField()
    note = forms.CharField(
        label=_("Anything we should know"), max_length=500, required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )  # fmt: skip
    page = forms.CharField(widget=forms.HiddenInput, max_length=2_000)

    def __init__(self, data: Any = None, *, fans: dict[int, str], initial: Any = None) -> None:
        super().__init__(data, initial=initial, label_suffix="")
        asked = {
            f"fan_{fan_id}": forms.ChoiceField(
                label=name,
                choices=[
                    (RunningTold.Answer.RUNNING, _("Running")),
                    (RunningTold.Answer.NOT_RUNNING, _("Not running")),
                    (RunningTold.Answer.CANNOT_TELL, _("Cannot tell")),
                ],
                widget=forms.RadioSelect,
                error_messages={
                    "required": _("Choose one; “Cannot tell” is an answer too."),
                    "invalid_choice": _("Choose one; “Cannot tell” is an answer too."),
                },
            )
            for fan_id, name in fans.items()
        }
        self.fields = {**asked, **self.fields}

    def clean_note(self) -> str:
        text = "\n".join(self.cleaned_data["note"].splitlines()).strip()
        _refuse_hidden(text)
        return text

    @property
    def asked(self) -> list[Any]:
        """The bound fields that ask about a fan each, in the order shown."""
        return [self[name] for name in self.fields if name.startswith("fan_")]

    @property
    def answers(self) -> dict[int, str]:
        """By fan id, what was chosen."""
        return {
            int(name.removeprefix("fan_")): value
            for name, value in self.cleaned_data.items()
            if name.startswith("fan_")
        }
