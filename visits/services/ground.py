"""What every record of a batch is laid out on: register, people, stored rows, complaints."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from fleet.models import Person
from visits.payload.complaints import (
    GUESSED_AT_MOST,
    Complaint,
    Remedy,
    choices_remedy,
    complaint,
)
from visits.payload.entries import DecisionEntry, Place
from visits.payload.moments import Local, Moment
from visits.services.register import FanFacts, PersonFacts, Register, SiteFacts, sites_of_owner
from visits.services.rows import Rows
from visits.services.stored import Known, Stored, newest

NOBODY = UUID(int=0)
SKEW = timedelta(days=1)
"""A phone's clock may run ahead; a record from further in the future is a slip of the pen."""


@dataclass(slots=True)
class Ground:
    """One batch under way; ``origin`` is the entry at work, which complaints are noted for."""

    now: datetime
    by: Person | None
    here: bool
    from_file: bool
    register: Register
    people: dict[str, PersonFacts]
    stored: Stored
    rows: Rows = field(default_factory=Rows)
    touched: set[int] = field(default_factory=set)
    corrected: set[UUID] = field(default_factory=set)
    fans_corrected: set[int] = field(default_factory=set)
    swapped: set[int] = field(default_factory=set)
    carried: dict[UUID, UUID] = field(default_factory=dict)
    complaints: list[tuple[UUID, Complaint]] = field(default_factory=list)
    remedies: dict[Place, Remedy] = field(default_factory=dict)
    strange_tags: dict[int, dict[str, Remedy]] = field(default_factory=dict)
    origin: UUID = NOBODY

    @property
    def only_adds(self) -> bool:
        """Whether what is on record stands as it did beside these rows."""
        return not (self.corrected or self.swapped or self.rows.decisions or self.rows.plates)

    def complain(self, pointer: str, problem: str, seen: Any, remedy: Remedy) -> None:
        """Note what is wrong at ``pointer`` of the entry that is being laid out."""
        self.complaints.append((self.origin, complaint(pointer, problem, seen, remedy)))

    def site(self, place: Place) -> SiteFacts | None:
        """The site named, or None with a complaint; a name missing is complained of before."""
        if not place.is_named:
            return None
        site = self.register.site(place)
        if site is None:
            remedy = self._site_remedy(place)
            if place.site_id is None:
                self.complain("/site", _("no such site"), f"{place.owner}: {place.site}", remedy)
            else:
                self.complain("/site_id", _("no such site"), place.site_id, remedy)
        return site

    def _site_remedy(self, place: Place) -> Remedy:
        """The owner's sites, or that there is no such owner; each place is asked for once."""
        if place not in self.remedies:
            names = sites_of_owner(place.owner, self.by) if place.owner else []
            nowhere = (
                _("write owner and site as in the register, which has no owner %(owner)s")
                if place.owner
                else _("write owner and site as in the register")
            ) % {"owner": place.owner}
            self.remedies[place] = choices_remedy(place.site, names, "sites") if names else nowhere
        return self.remedies[place]

    def fan(self, site: SiteFacts, tag: str, pointer: str) -> FanFacts | None:
        """The fan of that tag, whose dates this batch touches; None with a complaint there."""
        if not tag:
            return None  # a tag nobody wrote was complained of when it was read
        fan = site.fans.get(tag.casefold())
        if fan is None:
            problem = _("%(site)s has no such fan") % {"site": site.name}
            self.complain(pointer, problem, tag, self._tag_remedy(site, tag))
            return None
        self.touched.add(fan.id)
        return fan

    def _tag_remedy(self, site: SiteFacts, tag: str) -> Remedy:
        """The fans of the site; the nearest first, for as many tags as anybody misspells."""
        told = self.strange_tags.setdefault(site.id, {})
        guess = tag in told or len(told) < GUESSED_AT_MOST
        tag = tag if guess else ""  # all further ones are told the same
        if tag not in told:
            tags = [known.tag for known in site.fans.values()]
            told[tag] = choices_remedy(tag, tags, "fans", guess=guess)
        return told[tag]

    def system(self, site: SiteFacts, name: str, pointer: str) -> int | None:
        """The system of that name (empty: the only one), or None with a complaint."""
        system_id = site.system(name)
        if system_id is None:
            problem = (
                _("%(site)s has no such system") % {"site": site.name}
                if name
                else _("which system is not said")
            )
            remedy = choices_remedy(name, sorted(site.system_names), "systems")
            self.complain(f"{pointer}/system", problem, name or None, remedy)
        return system_id

    def moment(
        self, site: SiteFacts, moment: Moment, pointer: str, since: datetime | None = None
    ) -> Local | None:
        """The moment by the site's clock, or None with a complaint; ``since`` as for moments."""
        local = moment.at(site.zone, since)
        if not moment.exists_at(site.zone):
            self.complain(
                pointer, _("the clocks at %(site)s skipped this time") % {"site": site.name},
                moment.text, _("give the time an hour later, or with its offset"),
            )  # fmt: skip
            return None
        if local.at > self.now + SKEW:
            problem = _("this lies in the future")
            self.complain(pointer, problem, moment.text, _("check year and month"))
            return None
        return local

    def not_future(self, site: SiteFacts, day: date | None, pointer: str) -> None:
        """Complain about a day that has not come yet at the site."""
        if day and day > (self.now + SKEW).astimezone(site.zone).date():
            problem = _("this day lies in the future")
            self.complain(pointer, problem, str(day), _("check year and month"))

    def not_before(self, day: date | None, than: date, pointer: str) -> None:
        """Complain about a day to come that lies before the one on which it was named."""
        if day and day < than:
            self.complain(
                pointer, _("this day lies before %(day)s, when it was named") % {"day": than},
                str(day), _("check year and month"),
            )  # fmt: skip

    def finding(self, id_: UUID, pointer: str) -> Known | None:
        """The finding of that id, or None with a complaint."""
        known = self.stored.findings.get(id_)
        if known is None:
            remedy = _("give the id of a finding on record")
            self.complain(pointer, _("no such finding"), str(id_), remedy)
        return known

    def advice(
        self, told: DecisionEntry, pointer: str, site: SiteFacts | None = None
    ) -> tuple[UUID, Known] | None:
        """The recommendation answered, as it stands now, or None with a complaint."""
        id_ = newest(self.stored.recommendations, told.recommendation or NOBODY)
        known, place = self.stored.recommendations.get(id_), f"{pointer}/recommendation"
        if known is None:
            remedy = _("give the id of a recommendation on record")
            self.complain(place, _("no such recommendation"), str(id_), remedy)
            return None
        if known.corrected_by and not (site or self.from_file):
            # Of a visit it is kept, counting for nothing: nobody climbs up again for an answer.
            problem = _("a correction has taken this advice back")
            remedy = _("answer the advice that stands, or name fan and subject instead")
            self.complain(place, problem, str(id_), remedy)
            return None
        self._refuse_other_advice(told, known, pointer, site)
        return id_, known

    def _refuse_other_advice(
        self, told: DecisionEntry, known: Known, pointer: str, site: SiteFacts | None
    ) -> None:
        """Complain of a fan or a subject that the advice is not on: one of the two is a slip."""
        tags = [fan.tag for fan in site.fans.values() if fan.id == known.fan_id] if site else []
        for key, given, right in (
            ("fan", told.fan, tags),
            ("subject", told.subject, [known.subject]),
        ):
            if given and right and given.casefold() != right[0].casefold():
                problem = _("the advice is on %(what)s") % {
                    "what": ", ".join([*tags, known.subject])
                }
                remedy = _("leave it out, or name the advice that was meant")
                self.complain(f"{pointer}/{key}", problem, given, remedy)
