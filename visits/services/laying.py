"""Lays out one visit as rows: who, when, where; then everything that hangs on it."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from visits.judging import CONTEXT_COLUMNS, READING_COLUMNS
from visits.models import (
    Action,
    Check,
    Decision,
    Finding,
    MadeSafe,
    NotReached,
    Recommendation,
    SystemInspection,
    Visit,
)
from visits.payload.entries import (
    ActionEntry,
    CheckEntry,
    DecisionEntry,
    FindingEntry,
    InspectionEntry,
    MadeSafeEntry,
    NotReachedEntry,
    PlateEntry,
    RecommendationEntry,
    VisitEntry,
)
from visits.payload.moments import Local
from visits.payload.record import part_id
from visits.payload.visit import NO_DAY
from visits.services.attending import inspects, who_attended
from visits.services.ground import Ground
from visits.services.plates import lay_plate, plates_left_out, swap_machine
from visits.services.register import FanFacts, MachineFacts, SiteFacts
from visits.services.rows import NewCheck
from visits.services.stored import Known, newest
from visits.services.swaps import came_before_swap

NOTHING_READ: dict[str, Any] = dict.fromkeys((*READING_COLUMNS, *CONTEXT_COLUMNS))
"""Told to the row, which finds out what is left out of it one by one and slowly."""


class VisitLayer:
    """One visit being laid out; its rows go to the ground's as far as they are right."""

    def __init__(self, ground: Ground, entry: VisitEntry, site: SiteFacts, began: Local) -> None:
        self.ground = ground
        self.entry = entry
        self.site = site
        self.began = began
        self.who = who_attended(ground, entry)
        self.visit = self._visit()
        self.swapping: set[int] = set()
        self.inspected: set[int] = set()
        self.plated: set[int] = set()

    def lay(self) -> None:
        """Lay out the visit; machines and plates first, for checks are judged by them."""
        entry, ground = self.entry, self.ground
        self._correct()
        ground.rows.visits.append(self.visit)
        ground.stored.visits[self.visit.pk] = self.visit
        for action in entry.actions:
            self._action(action)
        for plate in (*entry.plates, *plates_left_out(self.visit, entry.plates)):
            self._plate(plate)
        for check in entry.checks:
            self._check(check)
        for finding in entry.findings:
            self._finding(finding)
        for recommendation in entry.recommendations:
            self._recommendation(recommendation)
        for decision in entry.decisions:
            self._decision(decision)
        for missed in entry.not_reached:
            self._not_reached(missed)
        for safe in entry.made_safe:
            self._made_safe(safe)
        for inspection in entry.inspections:
            self._inspection(inspection)

    def _visit(self) -> Visit:
        entry, ground = self.entry, self.ground
        ended = self._ended()
        # A day alone says nothing about the time it ended.
        ended_at = ended.at if ended and ended.minute is not None else None
        if ended and (ended.on < self.began.on or (ended_at and ended_at < self.began.at)):
            seen = entry.ended.text if entry.ended else None
            problem = _("it ends before it begins")
            ground.complain("/ended_at", problem, seen, _("check both times"))
        return Visit(
            id=entry.id,
            kind=entry.kind,
            site_id=self.site.id,
            began_at=self.began.at,
            ended_at=ended_at,
            local_on=self.began.on,
            local_minute=self.began.minute,
            technician_id=self.who.id,
            technician_name=self.who.name,
            here=ground.here,
            notes=entry.notes,
            supersedes_id=entry.supersedes,
            correction_reason=entry.correction_reason,
            recorded_by=ground.by,
            received_at=ground.now,
            payload_sha256=entry.sha256,
        )

    def _ended(self) -> Local | None:
        if self.entry.ended is None:
            return None
        return self.ground.moment(self.site, self.entry.ended, "/ended_at", self.began.at)

    def _correct(self) -> None:
        """A correction replaces a standing visit of the same site, whole."""
        ground, old_id = self.ground, self.entry.supersedes
        if old_id is None:
            return
        old = ground.stored.visits.get(old_id)
        if old is None or old.site_id != self.site.id:
            ground.complain(
                "/supersedes", _("%(site)s has no such visit") % {"site": self.site.name},
                str(old_id), _("give the id of the visit to correct"),
            )  # fmt: skip
        elif old_id in ground.stored.superseded:
            ground.complain(
                "/supersedes", _("this visit is already corrected"), str(old_id),
                _("correct the correction"),
            )  # fmt: skip
        else:
            ground.stored.superseded.add(old_id)
            ground.corrected.add(old_id)
            fans = {fan.id for fan in self.site.fans.values()}
            ground.fans_corrected |= fans
            ground.touched |= fans

    def _fan(self, tag: str, pointer: str) -> FanFacts | None:
        return self.ground.fan(self.site, tag, f"{pointer}/fan")

    def _machine(self, fan: FanFacts, *, is_left: bool = False) -> MachineFacts | None:
        """The machine that was seen: where one was replaced that day, the one before it."""
        is_ours = fan.id in self.swapping
        before_swap = not is_left if is_ours else came_before_swap(self.visit, fan)
        return fan.machine_on(self.began.on, before_swap=before_swap)

    def _check(self, entry: CheckEntry) -> None:
        fan = self._fan(entry.fan, entry.pointer)
        if fan is None:
            return
        for subject, day in entry.recheck.items():
            self.ground.not_before(day, self.began.on, f"{entry.pointer}/recheck/{subject}")
        machine = self._machine(fan, is_left=entry.stage == "as_left")
        row = Check(
            visit=self.visit,
            fan_id=fan.id,
            machine_id=machine.id if machine else None,
            stage=entry.stage,
            began_at=self.began.at,
            typed=entry.readings.typed,
            lasting=list(entry.lasting),
            recheck_days={subject: day.isoformat() for subject, day in entry.recheck.items()},
            switch_left=entry.switch_left,
            notes=entry.notes,
            **{**NOTHING_READ, **entry.readings.columns},
        )
        check = NewCheck(row, fan.plate_of(machine), fan.feed_on(self.began.on))
        self.ground.rows.checks.append(check)

    def _finding(self, entry: FindingEntry) -> None:
        fan = self._fan(entry.fan, entry.pointer)
        if fan is None:
            return
        ground = self.ground
        ground.not_future(self.site, entry.failed_on, f"{entry.pointer}/failed_on")
        ground.not_before(entry.recheck_on, self.began.on, f"{entry.pointer}/recheck_on")
        machine = self._machine(fan)
        id_ = self._part(entry.id, entry.pointer, ground.stored.findings, fan, entry.subject)
        ground.rows.findings.append(
            Finding(
                id=id_,
                visit=self.visit,
                fan_id=fan.id,
                machine_id=machine.id if machine else None,
                **_plain(
                    entry, "subject", "item", "severity", "verdict", "failure_mode", "mechanism",
                    "cause", "loss_of_function", "lasting", "failed_on", "recheck_on", "note",
                ),
            )
        )  # fmt: skip

    def _part(
        self, given: UUID | None, pointer: str, found: dict[UUID, Known], fan: FanFacts,
        subject: str,
    ) -> UUID:  # fmt: skip
        """The id under which a finding or advice is stored.

        A correction repeats what it keeps under the id it had: that id is taken, so the new row
        gets one made from both, and whatever answered the old row goes over to the new one.
        """
        id_, old = given or part_id(self.visit.pk, pointer), self._carried(given, found)
        if old is not None:
            id_ = part_id(self.visit.pk, str(old))
            found[old].corrected_by = self.visit.pk
            self.ground.carried[old] = id_
        elif id_ in found:
            remedy = _("make a new one")
            self.ground.complain(f"{pointer}/id", _("this id is taken"), str(id_), remedy)
        closing = found[old].closing if old else None
        found[id_] = Known(self.visit.pk, fan.id, self.site.id, subject, closing=closing)
        return id_

    def _carried(self, given: UUID | None, found: dict[UUID, Known]) -> UUID | None:
        """The row of the corrected visit that this one repeats, or None."""
        corrected = self.entry.supersedes
        if given is None or corrected is None:
            return None
        id_ = newest(found, given)
        return id_ if id_ in found and found[id_].visit_id == corrected else None

    def _action(self, entry: ActionEntry) -> None:
        fan = self._fan(entry.fan, entry.pointer)
        if fan is None:
            return
        if entry.machine is not None:
            swap_machine(self.ground, fan, entry, self.began.on, self.swapping)
        self.ground.rows.actions.append(
            Action(visit=self.visit, fan_id=fan.id, **_plain(entry, "kind", "item", "part", "note"))
        )

    def _plate(self, entry: PlateEntry) -> None:
        fan = self._fan(entry.fan, entry.pointer)
        # A fan's second plate was complained of when it was read: the register hears of one.
        if fan and fan.id not in self.plated and self.began.on != NO_DAY:
            self.plated.add(fan.id)
            is_new = fan.id in self.swapping
            lay_plate(self.ground, self.visit, fan, entry, is_new=is_new)

    def _recommendation(self, entry: RecommendationEntry) -> None:
        fan = self._fan(entry.fan, entry.pointer)
        if fan is None:
            return
        found = self.ground.stored.recommendations
        id_ = self._part(entry.id, entry.pointer, found, fan, entry.subject)
        self.ground.rows.recommendations.append(
            Recommendation(
                id=id_, visit=self.visit, fan_id=fan.id, **_plain(entry, "subject", "text", "cost")
            )
        )
        if entry.decision:
            self._answer(entry.decision, fan.id, entry.subject, id_)

    def _decision(self, entry: DecisionEntry) -> None:
        if entry.recommendation:
            if found := self.ground.advice(entry, entry.pointer, self.site):
                advice_id, advice = found
                self.ground.touched.add(advice.fan_id)
                self._answer(entry, advice.fan_id, advice.subject, advice_id)
            return
        fan = self._fan(entry.fan, entry.pointer)
        if fan:
            self._answer(entry, fan.id, entry.subject, None)

    def _answer(self, entry: DecisionEntry, fan_id: int, subject: str, advice: UUID | None) -> None:
        ground, given = self.ground, entry.id
        if given and self.entry.supersedes:
            given = part_id(self.visit.pk, str(given))
        ground.not_future(self.site, entry.decided_on, f"{entry.pointer}/on")
        if given in ground.stored.decisions:
            remedy = _("make a new one")
            ground.complain(f"{entry.pointer}/id", _("this id is taken"), given, remedy)
        decision = Decision(
            id=given or part_id(self.visit.pk, entry.pointer),
            fan_id=fan_id,
            visit=self.visit,
            recommendation_id=advice,
            subject=subject,
            recorded_by=ground.by,
            received_at=ground.now,
            **_plain(entry, "answer", "decided_on", "not_before", "decided_by", "note"),
        )
        ground.stored.decisions[decision.pk] = decision
        ground.rows.decisions.append(decision)

    def _not_reached(self, entry: NotReachedEntry) -> None:
        fan = self._fan(entry.fan, entry.pointer)
        if fan:
            self.ground.rows.not_reached.append(
                NotReached(
                    visit=self.visit, fan_id=fan.id, **_plain(entry, "item", "reason", "note")
                )
            )

    def _made_safe(self, entry: MadeSafeEntry) -> None:
        fan = self._fan(entry.fan, entry.pointer)
        pointer = f"{entry.pointer}/promised_on"
        self.ground.not_before(entry.promised_on, self.began.on, pointer)
        if fan:
            self.ground.rows.made_safe.append(
                MadeSafe(
                    visit=self.visit,
                    fan_id=fan.id,
                    **_plain(
                        entry, "told", "lock_holder", "cook_line_stopped", "restarts_when",
                        "promised_on",
                    ),
                )
            )  # fmt: skip

    def _inspection(self, entry: InspectionEntry) -> None:
        ground = self.ground
        system_id = ground.system(self.site, entry.system, entry.pointer)
        if system_id is None:
            return
        if system_id in self.inspected:
            problem, remedy = _("this system stands here twice"), _("tell of each system once")
            ground.complain(entry.pointer, problem, entry.system, remedy)
            return
        self.inspected.add(system_id)
        ground.touched.update(self.site.fans_of(system_id))
        ground.rows.inspections.append(
            SystemInspection(
                visit=self.visit,
                system_id=system_id,
                qualified=inspects(ground, self.entry, self.who),
                areas_not_cleaned=entry.areas_not_cleaned,
            )
        )


def _plain(entry: Any, *names: str) -> dict[str, Any]:
    """Fields that the entry and the row call by the same name."""
    return {name: getattr(entry, name) for name in names}
