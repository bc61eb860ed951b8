"""What a page asks by a link: shown, answered by pressing the button, told when it went stale."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from uuid import UUID, uuid4

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.models import OwnerLink
from schedules.answering import Given, NotAnsweredError, Shown
from schedules.owner_page.shown import ShownQuestion
from schedules.pages.owner.forms import AnswerForm
from visits.payload import PayloadError
from visits.wording import words
from visits.wording.names import Words

WHY_NOT: Words = {
    "answered": gettext_lazy(
        "Nothing was recorded: this was answered since you opened the page. The answer stands "
        "below; to replace it, answer once more."
    ),
    "corrected": gettext_lazy(
        "Nothing was recorded: this advice was corrected since. Your page shows what we advise now."
    ),
    "settled": gettext_lazy(
        "Nothing was recorded: this has been repaired, or was found in order, since the advice was "
        "given."
    ),
    "unneeded": gettext_lazy("Nothing was recorded: no visit there waits for your yes any more."),
    "used": gettext_lazy(
        "Nothing more was recorded: this page has given its answer, which stands below. To replace "
        "it, answer once more."
    ),
    "flood": gettext_lazy(
        "Nothing was recorded: too many answers came by your links today. Call us, please."
    ),
    "stale": gettext_lazy(
        "Nothing was recorded: this page was open for too long. Read it again, then answer."
    ),
}


@dataclass(frozen=True)
class Question:
    """A question as it stands: ``last`` is what counts so far, ``text`` what the page says of it.

    ``gone`` tells why nothing is left to answer; empty where it stands.
    """

    shown: ShownQuestion
    last: str
    text: str
    gone: str


@dataclass(frozen=True)
class Asking:
    """How a question is read, answered and receipted; ``about`` names it in its form."""

    about: str
    read: Callable[[], Question]
    form: Callable[..., AnswerForm]
    give: Callable[[Shown, Given], UUID]
    receipt: str


def ask(request: HttpRequest, link: OwnerLink, asking: Asking) -> HttpResponse:
    """Show it, and take its answer when the button is pressed; nothing else decides."""
    if request.method != "POST":
        return _show(request, link, asking)
    form = asking.form(request.POST)
    shown = Shown.read(request.POST.get("page", ""), link)
    if shown is None or shown.about != asking.about:
        return _show(request, link, asking, why="stale")
    if not form.is_valid():
        return _show(request, link, asking, form=form)
    try:
        answer_id = asking.give(shown, form.given)
    except NotAnsweredError as error:
        return _show(request, link, asking, why=error.why)
    except PayloadError as error:
        form.add_error(None, _("This cannot be recorded: {why}").format(why=error))
        return _show(request, link, asking, form=form)
    return redirect(asking.receipt, answer_id)


def _show(
    request: HttpRequest,
    link: OwnerLink,
    asking: Asking,
    *,
    form: AnswerForm | None = None,
    why: str = "",
) -> HttpResponse:
    """The page; a form with faults keeps what it was shown with, any other gets a fresh one."""
    question = asking.read()
    if form is None:
        page = Shown(asking.about, uuid4(), question.last, question.text)
        form = asking.form(initial={"page": page.signed(link)})
    context: dict[str, Any] = {
        "asked": question.shown,
        "form": form,
        "why": words(WHY_NOT, why) if why else "",
        "gone": question.gone,
        "owner": link.owner,
    }
    code = 409 if why else 422 if form.is_bound else 200
    return render(request, "schedules/owner/asked.html", context, status=code)
