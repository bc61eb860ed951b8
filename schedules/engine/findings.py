"""Open findings of one fan, followed subject by subject through looks, notes, work and answers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from operator import itemgetter

from fleet.quantities import VERDICT_ORDER, item_of
from schedules.engine.codes import WATCH, WITHIN
from schedules.engine.lasting import Lasting
from schedules.engine.moments import later
from schedules.engine.record import Action, Decision, FanRecord, Look, Noted

NOT_HERE = frozenset({"vibration", "vibration_felt"})
"""Subjects that rule 5 dates."""

SETTLING = frozenset({"repaired", "replaced", "cleaned", "adjusted"})
DAY_END = 1440
AS_FOUND, NOTE, WORK, AS_LEFT, ANSWER = range(5)

Step = tuple[int, int, int, Look | Noted | Action | Decision]


@dataclass(slots=True)
class Finding:
    """One subject at fault; days are 0 and ``state_days`` -1 where nothing was said."""

    subject: str
    item: str
    verdict: int
    seen_day: int
    state_days: int = -1
    declined: bool = False
    temporary_day: int = 0
    temporary_minute: int | None = None
    own_day: int = 0
    settled_day: int = 0

    def holds_against(self, day: int, minute: int | None) -> bool:
        """True if a temporary repair stands that this moment does not come after."""
        put_off = self.temporary_day
        return bool(put_off) and not later(day, minute, put_off, self.temporary_minute)

    def see(self, order: int, day: int, minute: int | None, state_days: int) -> None:
        """Take a later sight of the fault, which starts its days anew."""
        if not self.holds_against(day, minute):
            self.temporary_day = 0
        if order > self.verdict:
            self.declined = False
        if day >= self.own_day:
            self.own_day = 0
        self.verdict, self.seen_day, self.state_days = order, day, state_days
        self.settled_day = 0

    def is_about(self, name: str) -> bool:
        """True if an action's item or a decision's subject means this finding."""
        return name in (self.subject, self.item)


class Findings:
    """Follows one record in time order; ``open`` holds what is left."""

    def __init__(self) -> None:
        self._by_subject: dict[str, Finding] = {}
        self._lasting = Lasting()

    @property
    def open(self) -> list[Finding]:
        """Findings not settled, by subject."""
        live = (f for _, f in sorted(self._by_subject.items()) if not f.settled_day)
        return list(live)

    def look(self, look: Look) -> None:
        """Take a check: as found may open, both stages continue or settle."""
        for subject, verdict in look.verdicts.items():
            order = VERDICT_ORDER[verdict]
            if order > WITHIN:
                self._see(look, subject, order)
            elif order == WITHIN and subject in self._by_subject:
                self._better(look, subject)

    def _better(self, look: Look, subject: str) -> None:
        if not self._by_subject[subject].holds_against(look.day, look.minute):
            del self._by_subject[subject]

    def _see(self, look: Look, subject: str, order: int) -> None:
        if subject in NOT_HERE:
            return
        if subject in look.lasting:
            self._lasting.mark(subject, order)
        finding = self._by_subject.get(subject)
        found = look.stage == "as_found"
        if finding and finding.settled_day and (found or finding.settled_day != look.day):
            finding = None
        if not found and finding is None:
            return
        if self._lasting.silences(subject, order):
            self._by_subject.pop(subject, None)
            return
        if finding is None:
            finding = Finding(subject, item_of(subject), order, look.day)
            self._by_subject[subject] = finding
        finding.see(order, look.day, look.minute, look.recheck_days.get(subject, -1))

    def note(self, note: Noted) -> None:
        """Take a finding somebody wrote down; with the verdict's own it is one."""
        subject, order = note.subject or note.item, VERDICT_ORDER[note.verdict]
        if subject in NOT_HERE or order < WATCH:
            return
        if note.lasting:
            self._lasting.mark(subject, order)
        if self._lasting.silences(subject, order):
            self._by_subject.pop(subject, None)
            return
        finding = self._by_subject.get(subject)
        if finding is None or finding.settled_day:
            finding = Finding(subject, item_of(subject), order, note.day)
            self._by_subject[subject] = finding
        if note.day > finding.seen_day or order > finding.verdict:
            finding.see(order, note.day, note.minute, -1)
        finding.item = note.item or finding.item
        if note.recheck_day is not None:
            finding.own_day = note.recheck_day

    def work(self, action: Action) -> None:
        """Take what was done: it settles, or puts the finding off for a while."""
        for finding in self._by_subject.values():
            if finding.settled_day or not finding.is_about(action.item):
                continue
            if action.kind in SETTLING:
                finding.settled_day = action.day
            elif action.kind == "temporary":
                finding.temporary_day, finding.temporary_minute = action.day, action.minute

    def answer(self, decision: Decision) -> None:
        """Take the owner's no to a finding that stands."""
        for finding in self._by_subject.values():
            if decision.answer == "declined" and finding.is_about(decision.subject):
                finding.declined = True

    def close(self, note: Noted) -> None:
        """Take a finding closed with a reason."""
        self._by_subject.pop(note.subject or note.item, None)


def open_findings(record: FanRecord) -> list[Finding]:
    """Findings still open at the end of the record, in order of their subjects."""
    findings = Findings()
    for _, _, kind, fact in sorted(_steps(record), key=itemgetter(0, 1, 2)):
        if isinstance(fact, Look):
            findings.look(fact)
        elif isinstance(fact, Action):
            findings.work(fact)
        elif isinstance(fact, Decision):
            findings.answer(fact)
        elif kind == NOTE:
            findings.note(fact)
        else:
            findings.close(fact)
    return findings.open


def _steps(record: FanRecord) -> Iterator[Step]:
    """Facts with their place in time: day, minute, and the order within a visit."""
    last_found: dict[int, int] = {}
    for look in record.looks:
        found, minute = look.stage == "as_found", look.minute or 0
        if found:
            last_found[look.day] = max(minute, last_found.get(look.day, 0))
        yield look.day, minute, AS_FOUND if found else AS_LEFT, look
    for action in record.actions:
        yield action.day, _minute(action, last_found), WORK, action
    for note in record.noted:
        yield note.day, _minute(note, last_found), NOTE, note
        if note.closed_day is not None:
            yield note.closed_day, DAY_END, ANSWER, note
    for decision in record.decisions:
        yield decision.day, DAY_END, ANSWER, decision


def _minute(fact: Action | Noted, last_found: dict[int, int]) -> int:
    """Work or a note without a time follows the last as-found look of its day."""
    return last_found.get(fact.day, 0) if fact.minute is None else fact.minute
