"""What people do while weeks pass, by the services that pages and API call."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any, Protocol
from uuid import UUID, uuid4

from fleet.models import Fan, OwnerLink, Person, Site
from fleet.services.links import make_link
from schedules.answering import Given, Shown, answer_advice
from schedules.bookings.services import Terms, book, move_booking, withdraw_booking
from schedules.kitchen_checks import ask_kitchen, kitchen_told
from schedules.models import Booking
from schedules.services import log_visit
from visits.models import Recommendation, RunningTold
from visits.services import RunningAnswers

NAME = "Who may"


class Doors(Protocol):
    """One function for each thing that somebody does; ids are those of the record."""

    def log(self, visit: Mapping[str, Any], now: datetime) -> None:
        """A technician sends a visit."""

    def put_off(self, advice: Recommendation, until: date, now: datetime) -> UUID:
        """The owner answers "not now" by a link; the decision's id."""

    def ask(self, site: Site, now: datetime) -> None:
        """A planner asks the kitchen whether its fans run."""

    def tell_stopped(self, site: Site, now: datetime) -> UUID:
        """The kitchen tells by its link that its first fan does not; the page's id."""

    def book(self, site: Site, terms: Terms, now: datetime) -> UUID:
        """A planner books a visit."""

    def move(self, booking: UUID, terms: Terms, now: datetime) -> None:
        """A planner moves it."""

    def withdraw(self, booking: UUID, now: datetime) -> None:
        """A planner withdraws it."""


class Services:
    """All of it in this process."""

    def log(self, visit: Mapping[str, Any], now: datetime) -> None:
        log_visit(payload=dict(visit), by=None, now=now)

    def put_off(self, advice: Recommendation, until: date, now: datetime) -> UUID:
        owner = advice.fan.site.owner
        link = make_link(owner=owner, now=now, sent_to=owner.email)
        shown = Shown(str(advice.pk), uuid4(), "", f"What we advise: {advice.text}")
        given = Given("not_now", NAME, until)
        return answer_advice(link=link, shown=shown, given=given, now=now).pk

    def ask(self, site: Site, now: datetime) -> None:
        ask_kitchen(site=site, now=now)

    def tell_stopped(self, site: Site, now: datetime) -> UUID:
        fans = list(Fan.objects.filter(site=site).order_by("pk"))
        answers = dict.fromkeys((fan.pk for fan in fans), RunningTold.Answer.RUNNING.value)
        answers[fans[0].pk] = RunningTold.Answer.NOT_RUNNING.value
        running = OwnerLink.Purpose.RUNNING
        link = make_link(owner=site.owner, now=now, purpose=running, site=site)
        told = RunningAnswers(uuid4(), answers, NAME)
        kitchen_told(link=link, told=told, now=now)
        return told.page_id

    def book(self, site: Site, terms: Terms, now: datetime) -> UUID:
        return book(site=site, terms=terms, by=_planner(), now=now).pk

    def move(self, booking: UUID, terms: Terms, now: datetime) -> None:
        move_booking(booking_id=booking, seen=_seen(booking), terms=terms, by=_planner(), now=now)

    def withdraw(self, booking: UUID, now: datetime) -> None:
        withdraw_booking(
            booking_id=booking, seen=_seen(booking), reason="rain", by=_planner(), now=now
        )


def _planner() -> Person:
    return Person.objects.filter(role=Person.Role.DISPATCHER)[0]


def _seen(booking: UUID) -> int:
    return Booking.objects.get(pk=booking).sequence
