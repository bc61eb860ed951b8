"""What people do while a month passes, by letters and pages of a server alone."""

from __future__ import annotations

import base64
import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from urllib.parse import urljoin
from urllib.request import Request, urlopen
from uuid import UUID

from fleet.models import Fan, Site
from schedules.bookings.services import Terms
from schedules.models import Booking
from schedules.proofs.doors import NAME
from schedules.proofs.mail_there import MailFolder
from schedules.proofs.visitor import PATIENCE_S, Page, Visitor
from visits.models import Recommendation


@dataclass
class Browsers:
    """A technician's phone with its ``key``, a planner who signs in, owners with their letters."""

    site: str
    mail: MailFolder
    key: str
    planner: tuple[str, str]

    def log(self, visit: Mapping[str, Any], now: datetime) -> None:
        """Send a visit as phones do, with a key."""
        headers = {"Authorization": f"Token {self.key}", "Content-Type": "application/json"}
        address = urljoin(self.site, "/api/v1/visits")
        request = Request(address, json.dumps(visit).encode(), headers)  # noqa: S310  # our own
        with urlopen(request, timeout=PATIENCE_S) as answer:  # noqa: S310  # our own server
            answer.read()

    def put_off(self, advice: Recommendation, until: date, now: datetime) -> UUID:
        """Answer *not now* as an owner: by the letter's link, the advice on the page, its form."""
        letter = self.mail.latest(advice.fan.site.owner.email, advice.text)
        owner = Visitor(self.site)
        page = owner.open(letter.link(self.site))
        (link,) = [link for link in page.links if str(advice.pk) in link]
        asked = owner.open(link)
        told = {"answer": "not_now", "not_before": until.isoformat(), "name": NAME}
        receipt = owner.send(asked, asked.form(str(advice.pk)), **told)
        return UUID(_last_part(receipt, "/o/answers/"))

    def ask(self, site: Site, now: datetime) -> None:
        """Ask whether fans run, by the button on the site's page."""
        planner, page = self._at(site)
        planner.send(page, page.form("/ask-running"))

    def tell_stopped(self, site: Site, now: datetime) -> UUID:
        """Tell as a kitchen that its first fan stands, by the form behind the letter's link."""
        kitchen = Visitor(self.site)
        letter = self.mail.latest(site.owner.email, f"exhaust fans at {site.name} running")
        page = kitchen.open(letter.link(self.site))
        form = page.form("/running/")
        fans = Fan.objects.filter(site=site).order_by("pk").values_list("pk", flat=True)
        told = {f"fan_{fan}": "running" for fan in fans} | {f"fan_{fans[0]}": "not_running"}
        receipt = kitchen.send(page, form, name=NAME, **told)
        if "/running/told/" not in receipt.address:
            raise ValueError(f"what the kitchen told was not taken: {receipt.text[-600:]}")
        return UUID(_signed(form.fields["page"]))

    def book(self, site: Site, terms: Terms, now: datetime) -> UUID:
        """Book a visit by the form on the site's page; gives the booking's id."""
        planner, page = self._at(site)
        planner.send(page, page.form(f"/sites/{site.pk}/bookings"), **_typed(terms))
        return Booking.objects.get(site=site, day=terms.day).pk

    def move(self, booking: UUID, terms: Terms, now: datetime) -> None:
        """By the form beside it."""
        planner, page = self._at(Booking.objects.get(pk=booking).site)
        planner.send(page, page.form(f"/bookings/{booking}/move"), **_typed(terms))

    def withdraw(self, booking: UUID, now: datetime) -> None:
        """By the form beside it."""
        planner, page = self._at(Booking.objects.get(pk=booking).site)
        planner.send(page, page.form(f"/bookings/{booking}/withdraw"), reason="rain")

    def _at(self, site: Site) -> tuple[Visitor, Page]:
        """A planner signed in, on the page of a site."""
        planner = Visitor(self.site)
        page = planner.open("/login/")
        name, password = self.planner
        planner.send(page, page.form("/login/"), username=name, password=password)
        return planner, planner.open(f"/sites/{site.pk}/")


def _typed(terms: Terms) -> dict[str, str]:
    told = {"technician": str(terms.technician.pk), "day": terms.day.isoformat()}
    hours = {"from_minute": terms.from_minute, "until_minute": terms.until_minute}
    told |= {name: "{:02d}:{:02d}".format(*divmod(at or 0, 60)) for name, at in hours.items()}
    return {**told, "note": terms.note}


def _last_part(page: Page, under: str) -> str:
    if under not in page.address:
        raise ValueError(f"{page.address} is not {under}: {page.text[-600:]}")
    return page.address.rstrip("/").rpartition("/")[2]


def _signed(text: str) -> str:
    """What django.core.signing put in words: JSON in base64 before the first colon."""
    told = text.partition(":")[0]
    return str(json.loads(base64.urlsafe_b64decode(told + "=" * (-len(told) % 4))))
