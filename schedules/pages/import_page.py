"""The import page: a file is read dry first, everything about it is told, then it is confirmed."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from fleet.imports.columns import COLUMNS
from fleet.models import Person
from fleet.services.onboarding import DEFAULT_WEEKS
from schedules.pages.import_told import Report, Told, stored_words, tell
from schedules.rounds.ways import reading
from schedules.rounds.ways.importing import import_travel_file
from schedules.services import import_fleet_file, import_visit_file
from schedules.uploads import forget, keep, take
from visits import imports, payload
from visits.payload.vocabulary import vocabulary_text

MAY_IMPORT = (Person.Role.MANAGER, Person.Role.DISPATCHER)
LARGEST_BYTES = 25_000_000
SESSION_KEY = "import_uploads"


class ImportForm(forms.Form):
    """What is brought in, and how."""

    what = forms.ChoiceField(
        choices=[
            ("fleet", gettext_lazy("Fans (CSV or XLSX)")),
            ("visits", gettext_lazy("Old visits (JSON lines, CSV or XLSX)")),
            ("travel", gettext_lazy("Travel times (CSV or XLSX)")),
        ],
        label=gettext_lazy("What is in the file"),
    )
    file = forms.FileField(label=gettext_lazy("File"), allow_empty_file=True)
    weeks = forms.IntegerField(
        min_value=0,
        max_value=52,
        initial=DEFAULT_WEEKS,
        label=gettext_lazy("Weeks over which first visits of new fans are spread"),
    )

    here = forms.BooleanField(
        required=False,
        label=gettext_lazy("The visits were made under this schedule: one counts as a fan's first"),
    )

    def clean_file(self) -> UploadedFile:
        """Refuse what is too large before it is read."""
        file: UploadedFile = self.cleaned_data["file"]
        if file.size and file.size > LARGEST_BYTES:
            raise forms.ValidationError(
                _("The file has %(size).1f MB; at most %(most)d MB are read. Split it in two.")
                % {"size": file.size / 1e6, "most": LARGEST_BYTES // 1_000_000}
            )
        return file


@require_http_methods(["GET", "HEAD", "POST"])
def import_page(request: HttpRequest) -> HttpResponse:
    """Choose a file, read it dry, see what it says; then store it."""
    if getattr(request.user, "role", "") not in MAY_IMPORT:
        raise Http404
    if "confirm" in request.POST:
        return _confirm(request)
    form = ImportForm(request.POST or None, request.FILES or None, label_suffix="")
    told = _read_dry(request, form) if form.is_valid() else None
    return _show(request, form, told)


def _show(
    request: HttpRequest, form: ImportForm, told: Told | None, status: int = 200
) -> HttpResponse:
    context = {
        "form": form,
        "told": told,
        "columns": COLUMNS,
        "tables": imports.__doc__,
        "records": payload.__doc__,
        "names": vocabulary_text(),
        "ways": reading.__doc__,
    }
    return render(request, "schedules/import.html", context, status=status)


def _read_dry(request: HttpRequest, form: ImportForm) -> Told:
    """What the file would do; it is kept for its confirmation only where it would do something."""
    asked, file = form.cleaned_data, form.cleaned_data["file"]
    data = file.read()
    report = _run(request, data, file.name, asked, dry_run=True)
    if report.refused or report.changes_nothing:
        return tell(report)
    upload = keep(file.name, data)
    kept = {"name": file.name, "what": asked["what"], "weeks": asked["weeks"],
            "here": asked["here"]}  # fmt: skip
    request.session[SESSION_KEY] = {upload.token: kept}
    return tell(report, upload.token)


def _confirm(request: HttpRequest) -> HttpResponse:
    """Store what the dry run showed; a second confirmation finds nothing left to store."""
    token = request.POST["confirm"]
    asked = request.session.get(SESSION_KEY, {}).get(token)
    upload = take(token, asked["name"]) if asked else None
    if asked is None or upload is None:
        messages.warning(request, _("That file is no longer kept. Choose it again."))
        return redirect("import_page")
    report = _run(request, upload.data, upload.name, asked, dry_run=False)
    forget(token)
    if report.refused:
        return _show(request, ImportForm(label_suffix=""), tell(report), status=409)
    messages.success(request, stored_words(report))
    return redirect("import_page")


def _run(
    request: HttpRequest, data: bytes, name: str, asked: dict[str, Any], *, dry_run: bool
) -> Report:
    now = timezone.now()
    by: Any = request.user
    if asked["what"] == "fleet":
        return import_fleet_file(
            data=data, name=name, by=by, now=now, dry_run=dry_run, weeks=asked["weeks"]
        )
    if asked["what"] == "travel":
        return import_travel_file(data=data, name=name, by=by, now=now, dry_run=dry_run)
    return import_visit_file(
        data=data, name=name, by=by, now=now, here=asked.get("here", False), dry_run=dry_run
    )
