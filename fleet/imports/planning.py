"""Compare what a file says with the register: what is new, what differs, what stays."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from fleet.imports.calendars import CalendarPlanner
from fleet.imports.complaints import Complaints
from fleet.imports.drafts import Draft, Drafts, FanDraft
from fleet.imports.machines import plan_machine
from fleet.imports.plan import Motor, Plan
from fleet.imports.register import Place, Register
from fleet.models import Agreement, ExhaustSystem, Fan, Feed, Owner, Site

_CALENDAR = frozenset(
    {"classes", "cooking_from", "hours", "hours_from", "closed_days", "expected_cleanings"}
)


class Planner:
    """Plans drafts from owners downwards; rows of the register are changed in memory only."""

    def __init__(
        self, drafts: Drafts, register: Register, complaints: Complaints, now: datetime
    ) -> None:
        self.drafts, self.register, self.complaints, self.now = drafts, register, complaints, now
        self.plan = Plan(fans_in_file=len(drafts.fans))
        self.owners: dict[Place, Owner] = {}
        self.sites: dict[Place, Site] = {}
        self.systems: dict[Place, ExhaustSystem] = {}
        self.calendars = CalendarPlanner(self.plan, register)

    def make(self) -> Plan:
        """The whole plan; complaints are added where a plan cannot be made."""
        for place, draft in self.drafts.owners.items():
            self.owners[place] = self._owner(place, draft)
        for place, draft in self.drafts.agreements.items():
            self._agreement(self.owners[place], draft)
        for place, draft in self.drafts.sites.items():
            self.sites[place] = self._site(place, draft)
        firsts = self._first_days()
        for place, draft in self.drafts.systems.items():
            self.systems[place] = self._system(place, draft, firsts)
        for place, fan_draft in self.drafts.fans.items():
            self._fan(place, fan_draft)
        return self.plan

    def _owner(self, place: Place, draft: Draft) -> Owner:
        owner = self.register.owners.get(place)
        if owner:
            self.plan.compare(owner, _but(draft, "name"), (draft.row, "owner", owner.name))
            return owner
        owner = Owner(**draft.values)
        self.plan.add(owner)
        return owner

    def _agreement(self, owner: Owner, draft: Draft) -> None:
        agreements = self.register.agreements.get(owner.pk, []) if owner.pk else []
        day = draft.values.get("starts_on")
        same = [a for a in agreements if a.starts_on == day] if day else agreements[-1:]
        if same:
            what = f"agreement of {owner.name}"
            self.plan.compare(same[0], draft.values, (draft.row, "agreement", what))
            return
        starts_on = {"starts_on": day or self._entered_first(owner)}
        self.plan.add(Agreement(owner=owner, **(draft.values | starts_on)))

    def _entered_first(self, owner: Owner) -> date:
        """The day the owner's first fan came under care: where the start was not said."""
        key = next(place[0] for place, known in self.owners.items() if known is owner)
        days = [
            draft.values["entered_on"]
            for place, draft in self.drafts.fans.items()
            if place[0] == key and "entered_on" in draft.values
        ]
        return min(days, default=self.now.date())

    def _site(self, place: Place, draft: Draft) -> Site:
        site = self.register.sites.get(place)
        if site:
            self.plan.compare(site, _but(draft, "name"), (draft.row, "site", site.name))
            return site
        site = Site(owner=self.owners[place[:1]], **draft.values)
        self.plan.add(site)
        return site

    def _system(self, place: Place, draft: Draft, firsts: dict[Place, date]) -> ExhaustSystem:
        said = {name: draft.values[name] for name in draft.values if name not in _CALENDAR}
        site = self.sites[place[:2]]
        system = self.register.systems.get(place)
        if system:
            said.pop("name")
            self.plan.compare(system, said, (draft.row, "system", f"{site.name}: {system.name}"))
        else:
            system = ExhaustSystem(site=site, **said)
            self.plan.add(system)
        today = self._today(site)
        self.calendars.plan_system(system, draft, today, firsts.get(place, today))
        return system

    def _first_days(self) -> dict[Place, date]:
        """The earliest day on which any fan of a system is said to have been there."""
        firsts: dict[Place, date] = {}
        for draft in self.drafts.fans.values():
            said = (draft.values.get("entered_on"), draft.machine.get("installed_on"))
            for day in (day for day in said if isinstance(day, date)):
                firsts[draft.system] = min(day, firsts.get(draft.system, day))
        return firsts

    def _fan(self, place: Place, draft: FanDraft) -> None:
        site, system = self.sites[place[:2]], self.systems[draft.system]
        fan = self.register.fans.get(place)
        if fan is None:
            fan = Fan(site=site, system=system, **draft.values)
            fan.entered_on = draft.values.get("entered_on", self._today(site))
            self.plan.add(fan)
        else:
            what = f"{site.name} {fan.tag}"
            self.plan.compare(fan, _but(draft, "tag"), (draft.row, "fan", what))
            self._move_system(fan, system, draft)
        machine = plan_machine(
            self.plan, fan, self.register.machines.get(fan.pk or 0), draft, self.complaints
        )
        if feed := self._feed(fan, draft):
            self.plan.motors.append(Motor(draft.row, machine, feed))

    def _move_system(self, fan: Fan, system: ExhaustSystem, draft: FanDraft) -> None:
        if system.pk is not None and fan.system_id == system.pk:
            return
        what, old = f"{fan.site.name} {fan.tag}", fan.system.name
        self.plan.change(fan, {"system": system})
        self.plan.tell(draft.row, what, ("system", "name"), old, system.name)

    def _feed(self, fan: Fan, draft: FanDraft) -> Feed | None:
        feed = self.register.feeds.get(fan.pk or 0)
        if feed:
            what = f"{fan.site.name} {fan.tag}"
            self.plan.compare(feed, draft.feed, (draft.row, "feed", what))
        elif draft.feed:
            feed = Feed(fan=fan, **draft.feed)
            self.plan.add(feed)
        return feed

    def _today(self, site: Site) -> date:
        return self.now.astimezone(ZoneInfo(site.time_zone)).date()


def _but(draft: Draft, name: str) -> dict[str, Any]:
    return {field: value for field, value in draft.values.items() if field != name}
