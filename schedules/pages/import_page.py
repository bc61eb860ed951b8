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
from django.views.decorators.http import require_http_methods

from fleet.imports.columns import COLUMNS
from fleet.imports.report import ImportReport
from fleet.models import Person
from fleet.services.onboarding import DEFAULT_WEEKS
from fleet.wording import added_words, complaint_sentence, note_sentences
from schedules.services import import_fleet_file, import_visit_file
from schedules.uploads import Upload, forget, keep, take
from visits.imports.report import VisitImportReport

MAY_IMPORT = (Person.Role.MANAGER, Person.Role.DISPATCHER)
LARGEST_BYTES = 25_000_000
SHOWN_AT_MOST = 200
SESSION_KEY = "import_uploads"


class ImportForm(forms.Form):
    """What is brought in, and how."""

    what = forms.ChoiceField(
        choices=[
            ("fleet", _("Fans (CSV or XLSX)")),
            ("visits", _("Old visits (JSON lines or CSV)")),
        ],
        label=_("What is in the file"),
    )
    weeks = forms.IntegerField(
        min_value=0, max_value=52, initial=DEFAULT_WEEKS, label=_("Spread first visits over weeks")
    )
    file = forms.FileField(label=_("File"), allow_empty_file=True)

    def clean_file(self) -> UploadedFile:
        """Refuse what is too large before it is read."""
        file: UploadedFile = self.cleaned_data["file"]
        if file.size and file.size > LARGEST_BYTES:
            raise forms.ValidationError(
                _("The file has %(size).1f MB; at most %(most)d MB are read. Split it in two.")
                % {"size": file.size / 1e6, "most": LARGEST_BYTES // 1_000_000}
            )
        return file


@require_http_methods(["GET", "POST"])
def import_page(request: HttpRequest) -> HttpResponse:
    """Choose a file, read it dry, see what it says; then store it."""
    if getattr(request.user, "role", "") not in MAY_IMPORT:
        raise Http404
    if "confirm" in request.POST:
        return _confirm(request)
    form = ImportForm(request.POST or None, request.FILES or None)
    told: dict[str, Any] = {}
    if request.method == "POST" and form.is_valid():
        file = form.cleaned_data["file"]
        upload = keep(file.name, file.read())
        told = _told(_run(upload, form.cleaned_data, request, dry_run=True), upload)
        _remember(request, upload, form.cleaned_data)
    return render(
        request, "schedules/import.html", {"form": form, "told": told, "columns": COLUMNS}
    )


def _confirm(request: HttpRequest) -> HttpResponse:
    """Store what the dry run showed; a second confirmation finds nothing left to store."""
    token = request.POST["confirm"]
    asked = request.session.get(SESSION_KEY, {}).get(token)
    upload = take(token, asked["name"]) if asked else None
    if asked is None or upload is None:
        messages.warning(request, _("That file is no longer kept. Choose it again."))
        return redirect("import_page")
    report = _run(upload, asked, request, dry_run=False)
    if report.refused:
        context = {"form": ImportForm(), "told": _told(report, upload), "columns": COLUMNS}
        return render(request, "schedules/import.html", context, status=409)
    forget(token)
    messages.success(request, _stored(report))
    return redirect("import_page")


def _run(
    upload: Upload, asked: dict[str, Any], request: HttpRequest, *, dry_run: bool
) -> ImportReport | VisitImportReport:
    common: dict[str, Any] = {
        "data": upload.data, "name": upload.name, "by": request.user, "now": timezone.now(),
        "dry_run": dry_run,
    }  # fmt: skip
    if asked["what"] == "fleet":
        return import_fleet_file(**common, weeks=asked["weeks"])
    return import_visit_file(**common)


def _remember(request: HttpRequest, upload: Upload, asked: dict[str, Any]) -> None:
    kept = {"name": upload.name, "what": asked["what"], "weeks": asked["weeks"]}
    request.session[SESSION_KEY] = {upload.token: kept}


def _told(report: ImportReport | VisitImportReport, upload: Upload) -> dict[str, Any]:
    """What the page shows of a report."""
    told: dict[str, Any] = {"report": report, "token": upload.token}
    if isinstance(report, ImportReport):
        told["complaints"] = [complaint_sentence(c) for c in report.complaints[:SHOWN_AT_MOST]]
        told["notes"] = note_sentences(report.notes)
        told["changes"] = report.changes[:SHOWN_AT_MOST]
        told["more_changes"] = max(0, len(report.changes) - SHOWN_AT_MOST)
    else:
        told["complaints"] = [str(complaint) for complaint in report.complaints[:SHOWN_AT_MOST]]
    told["more_complaints"] = report.complaint_count - len(told["complaints"])
    told["added"] = _added(report)
    return told


def _added(report: ImportReport | VisitImportReport) -> str:
    if isinstance(report, ImportReport):
        return added_words(report.added) if report.added else ""
    return ", ".join(
        f"{count} {name}{'s' if count > 1 else ''}" for name, count in report.added.items()
    )


def _stored(report: ImportReport | VisitImportReport) -> str:
    if report.changes_nothing:
        return _("All of %(file)s was on record already; nothing changed.") % {"file": report.file}
    changed = len(report.changes) if isinstance(report, ImportReport) else 0
    parts = [
        _("added %(what)s") % {"what": _added(report)} if report.added else "",
        _("changed %(count)d values") % {"count": changed} if changed else "",
    ]
    told = ", ".join(part for part in parts if part)
    return _("%(file)s is stored: %(told)s.") % {"file": report.file, "told": told}
