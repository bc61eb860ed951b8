"""The owner's page, the pictures it shows, and the receipt of an answer."""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from fleet.models import OwnerLink
from schedules import wording
from schedules.answering import answers_of, next_text
from schedules.models import DueState
from schedules.notices.addressees import addresses_of_owners
from schedules.notices.no_access.words import no_way_words
from schedules.owner_page.advice import answer_text
from schedules.owner_page.gathering import OwnerFile, read_owner_file
from schedules.owner_page.shown import show_advice, show_fan, show_visit
from schedules.pages.owner.entering import by_link
from schedules.wording.supplied import asked_of_owner
from visits.api.photo_files import picture_answer
from visits.models import Photo
from visits.services.photo_files import IMAGE, THUMBNAIL

ENDINGS = {"large": IMAGE, "small": THUMBNAIL}


@by_link(OwnerLink.Purpose.PAGE)
@require_safe
def owner_page(request: HttpRequest, link: OwnerLink) -> HttpResponse:
    """Stops first, then what we need, what we owe, and every fan."""
    file = read_owner_file(link, timezone.now())
    context: dict[str, Any] = {
        "owner": link.owner,
        "stopped": [show_fan(file, line) for line in file.stopped],
        "owed": [show_fan(file, line) for line in file.owed],
        "is_overdue": any(line.days_over for line in file.lines),
        "unsettled": any(line.booked is None for line in file.owed),
        "visits": [(show_visit(each.site, each), each) for each in file.asked_visits],
        "no_way_up": [no_way_words(each) for each in file.no_way_up],
        "supplied": [text for each in file.supplied if (text := asked_of_owner(each))],
        "open": [show_advice(each) for each in file.open_advice],
        "answered": [
            *(show_advice(each) for each in file.answered_advice),
            *(show_visit(each.site, each) for each in file.answered_visits),
        ],
        "sites": [
            (name, [show_fan(file, line) for line in lines]) for name, lines in file.by_site()
        ],
        "today": wording.day_text(_today(file)),
        "ends": wording.day_text(link.expires_at.date()),
    }
    return render(request, "schedules/owner/page.html", context)


def _today(file: OwnerFile) -> date:
    """Where the owner's kitchens are; of no kitchen here."""
    return max((line.today for line in file.lines), default=timezone.localdate())


@by_link(OwnerLink.Purpose.PAGE)
@require_safe
def owner_photo(request: HttpRequest, link: OwnerLink, photo_id: UUID, size: str) -> HttpResponse:
    """One of the owner's photos; of others there is none."""
    photo = Photo.objects.showable_to(link).filter(pk=photo_id).first()
    if photo is None or size not in ENDINGS:
        raise Http404
    return picture_answer(request, photo, ENDINGS[size])


@by_link(OwnerLink.Purpose.PAGE)
@require_safe
def owner_receipt(request: HttpRequest, link: OwnerLink, decision_id: UUID) -> HttpResponse:
    """What was recorded, what happens next, where the confirmation goes."""
    decision = answers_of(link, pk=decision_id)
    if decision is None:
        raise Http404
    due = DueState.objects.filter(fan=decision.fan_id).first()
    told = answer_text(decision), next_text(decision, due), decision.shown
    return show_receipt(request, link, *told)


def show_receipt(
    request: HttpRequest, link: OwnerLink, answer: str, what_next: str, shown: str
) -> HttpResponse:
    """The receipt of any answer given by a link."""
    context = {
        "answer": answer,
        "next": what_next,
        "shown": shown,
        "address": addresses_of_owners([link.owner_id]).get(link.owner_id, ""),
    }
    return render(request, "schedules/owner/receipt.html", context)
