"""What a change of the week says: what to do, to which stop or site, seen at which revision."""

from __future__ import annotations

from functools import cached_property
from typing import Any

from django import forms
from django.utils.translation import gettext as _

UNSEEN = -1
"""The revision of whoever names none: older than any."""


class ChangeForm(forms.Form):
    """One form for all changes; each asks for what it needs by ``wanted``."""

    do = forms.CharField()
    seen = forms.IntegerField(required=False, min_value=0, max_value=2**31 - 1)
    stop = forms.UUIDField(required=False)
    other = forms.UUIDField(required=False)
    site = forms.IntegerField(required=False, min_value=1, max_value=2**63 - 1)
    technician = forms.IntegerField(required=False, min_value=1, max_value=2**63 - 1)
    position = forms.IntegerField(required=False, min_value=0, max_value=2**15 - 1)
    fresh = forms.BooleanField(required=False)
    day = forms.DateField(required=False, input_formats=["%Y-%m-%d"])

    @cached_property
    def told(self) -> dict[str, Any]:
        """What was entered and could be read; None for all else."""
        self.is_valid()
        told = {name: self.cleaned_data.get(name) for name in self.fields}
        return told | {"seen": UNSEEN if told["seen"] is None else told["seen"]}

    def missing(self, *names: str) -> str:
        """What a change still wants to be told, in a sentence; empty for nothing."""
        sentences = {
            "stop": _("Choose the stop."),
            "other": _("Choose the stop to swap it with."),
            "site": _("Choose the site."),
            "technician": _("Choose who goes."),
            "day": _("Choose the day."),
        }
        wanted = [sentences[name] for name in names if self.told[name] is None]
        if "position" in self.errors:
            place = _("{value} is no place in a round; leave it out, or count from 0.")
            wanted.append(place.format(value=self.data["position"]))
        return " ".join(wanted)
