"""Replacing a fan: the sheet for a supplier, and the fan that its owner supplies."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.db.models import Q
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from fleet.models import Fan, SuppliedFan
from fleet.services.errors import RegisterError
from fleet.services.supplied import edit_supplied, enter_supplied
from schedules.due.supplied import Supply, supplies
from schedules.fan_page.gathering import read_fan_file
from schedules.fan_page.replacement import replacement_sheet
from schedules.wording import day_text
from schedules.wording.supplied import supply_steps
from visits.wording.names import upper_first


class SuppliedForm(forms.ModelForm):
    """What is known of a fan that its owner supplies."""

    class Meta:
        model = SuppliedFan
        fields = [
            "what", "supplier", "ordered_on", "expected_on", "arrived_on", "kept_at", "installer",
            "installer_name", "note", "withdrawn_on", "withdrawn_reason",
        ]  # fmt: skip
        labels = {
            "what": gettext_lazy("Make and model, as ordered"),
            "supplier": gettext_lazy("Ordered from"),
            "ordered_on": gettext_lazy("Ordered on"),
            "expected_on": gettext_lazy("Expected on"),
            "arrived_on": gettext_lazy("Arrived on"),
            "kept_at": gettext_lazy("Kept at"),
            "installer": gettext_lazy("Who installs it"),
            "installer_name": gettext_lazy("Their name, where others do"),
            "note": gettext_lazy("Note"),
            "withdrawn_on": gettext_lazy("Called off on"),
            "withdrawn_reason": gettext_lazy("Called off because"),
        }
        help_texts = {"what": "", "kept_at": ""}
        widgets = {
            name: forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
            for name in ("ordered_on", "expected_on", "arrived_on", "withdrawn_on")
        }


@require_safe
def replacement_page(request: HttpRequest, fan_id: int) -> HttpResponse:
    """The sheet, to those who may see the fan."""
    visible = Fan.objects.visible_to(request.user).prefetch_related("machines", "feeds")
    fan = get_object_or_404(visible.select_related("site__owner", "system"), pk=fan_id)
    file = read_fan_file(fan, timezone.now())
    context = {"fan": fan, "sheet": replacement_sheet(file), "today": day_text(file.today)}
    return render(request, "schedules/replacement.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def supplied_page(request: HttpRequest, fan_id: int) -> HttpResponse:
    """How far the owner's fan has come; those who plan say what they heard."""
    person: Any = request.user
    if not person.plans:
        raise Http404
    fan = get_object_or_404(Fan.objects.select_related("site__owner"), pk=fan_id)
    supply = next(iter(supplies(Q(fan=fan))), None)
    asked = request.POST if request.method == "POST" else None
    row = SuppliedFan.objects.get(pk=supply.row.pk) if supply else None
    form = SuppliedForm(asked, instance=row, label_suffix="")
    status = 200
    if request.method == "POST":
        if form.is_valid() and _kept(form, fan, supply, person):
            messages.success(request, _("Noted."))
            return redirect("fan_page", fan_id=fan.pk)
        status = 409
    steps = list(supply_steps(supply)) if supply else []
    context = {"fan": fan, "form": form, "steps": steps}
    return render(request, "schedules/supplied.html", context, status=status)


def _kept(form: SuppliedForm, fan: Fan, supply: Supply | None, person: Any) -> bool:
    facts, now = form.cleaned_data, timezone.now()
    try:
        if supply is None:
            enter_supplied(fan=fan, facts=facts, by=person, now=now)
        else:
            row = SuppliedFan.objects.get(pk=supply.row.pk)
            edit_supplied(row=row, facts=facts, by=person, now=now)
    except RegisterError as error:
        for name, text in (error.faults or {"": str(error)}).items():
            form.add_error(name if name in form.fields else None, f"{upper_first(text)}.")
        return False
    return True
