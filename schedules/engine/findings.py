"""Open findings of one fan, followed subject by subject through looks, notes, work and answers."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from operator import itemgetter
from typing import Any

from fleet.quantities import VERDICT_ORDER, item_of
from schedules.engine.codes import OF_MACHINE, STOP, WATCH, WITHIN
from schedules.engine.moments import Place, Timeline, day_end, later
from schedules.engine.record import Action, Decision, FanRecord, Look, Noted

Fact = Look | Noted | Action | Decision
Take = Callable[[Any], None]

SETTLING = frozenset({"repaired", "replaced", "cleaned", "adjusted"})
QUIET = frozenset(name for name, order in VERDICT_ORDER.items() if order <= WITHIN)
"""Verdicts that open nothing: nearly all there are."""


def worked_on(kind: str, item: str) -> frozenset[str]:
    """Items that work of one kind on one item is done on: its parts go with a machine replaced."""
    return OF_MACHINE if (kind, item) == ("replaced", "machine") else frozenset({item})


@dataclass(slots=True)
class Finding:
    """One subject at fault; days are 0 and ``state_days`` -1 where nothing was said.

    ``lasting`` is the verdict up to which the fault is known to last, 0 where it is not: it then
    stays silent until a worse verdict comes.
    """

    subject: str
    item: str
    verdict: int
    seen_day: int
    state_days: int = -1
    seen_at: Look | None = None
    lasting: int = 0
    declined: bool = False
    temporary_day: int = 0
    temporary_minute: int | None = None
    own_day: int = 0
    settled_day: int = 0

    def holds_against(self, day: int, minute: int | None) -> bool:
        """True if a temporary repair stands that this moment does not come after."""
        put_off = self.temporary_day
        return bool(put_off) and not later(day, minute, put_off, self.temporary_minute)

    def see(self, order: int, day: int, state_days: int) -> None:
        """Take another sight of the fault, which starts its days anew."""
        if order > self.verdict:
            self.declined = False
        self.verdict, self.seen_day, self.state_days = order, day, state_days
        self.settled_day = 0

    def look_at(self, look: Look, order: int) -> None:
        """Take a check's sight, which also ends a temporary repair before it and an own date."""
        if not self.holds_against(look.day, look.minute):
            self.temporary_day = 0
        if look.day >= self.own_day:
            self.own_day = 0
        self.see(order, look.day, look.recheck_days.get(self.subject, -1))
        self.seen_at = look

    def outdoes(self, look: Look, order: int) -> bool:
        """True if another check of the same moment found it worse: which came first, none can say.

        Without times all checks of a day are of one moment.
        """
        other = self.seen_at
        if other is None or other is look or not other.stage == look.stage == "as_found":
            return False
        return order < self.verdict and (other.day, other.minute) == (look.day, look.minute)

    def is_about(self, name: str) -> bool:
        """True if an action's item or a decision's subject means this finding."""
        return name in (self.subject, self.item)

    def is_worked_on(self, action: Action) -> bool:
        """True if that work was done on it, or took it away with the whole machine."""
        return bool(worked_on(action.kind, action.item) & {self.subject, self.item})


class Findings:
    """Follows one record in time order; ``standing`` holds what is left."""

    def __init__(self) -> None:
        self._by_subject: dict[str, Finding] = {}

    @property
    def standing(self) -> list[Finding]:
        """Findings neither settled nor lasting, by subject."""
        by_subject = (finding for _, finding in sorted(self._by_subject.items()))
        return [finding for finding in by_subject if not (finding.settled_day or finding.lasting)]

    @property
    def lasting(self) -> frozenset[str]:
        """Subjects known to be lastingly at fault."""
        return frozenset(subject for subject, f in self._by_subject.items() if f.lasting)

    def lasting_up_to(self, subject: str) -> int:
        """The verdict up to which the subject's fault is known as lasting, 0 if it is not."""
        finding = self._by_subject.get(subject)
        return finding.lasting if finding else 0

    def look(self, look: Look) -> None:
        """Take a check: as found may open, both stages continue or settle."""
        known = self._by_subject
        if not known and QUIET.issuperset(look.verdicts.values()):
            return
        for subject, verdict in look.verdicts.items():
            if verdict in QUIET and subject not in known:
                continue
            order, finding = VERDICT_ORDER[verdict], known.get(subject)
            if order < WITHIN or (finding and finding.outdoes(look, order)):
                continue
            if order > WITHIN:
                self._see(look, subject, order)
            elif finding:
                self._better(look, subject)

    def _better(self, look: Look, subject: str) -> None:
        if not self._by_subject[subject].holds_against(look.day, look.minute):
            del self._by_subject[subject]

    def _see(self, look: Look, subject: str, order: int) -> None:
        finding = self._by_subject.get(subject)
        found = look.stage == "as_found"
        if finding and finding.settled_day and (found or finding.settled_day != look.day):
            finding = None
        if finding is None and not found:
            return
        finding = self._told(
            finding, subject, order, look.day, order if subject in look.lasting else 0
        )
        if finding.lasting:
            finding.seen_at = look
        else:
            finding.look_at(look, order)

    def _told(
        self, finding: Finding | None, subject: str, order: int, day: int, mark: int
    ) -> Finding:
        """The subject's finding, made if there is none, lasting up to ``mark`` or no longer."""
        level = max(mark if mark < STOP else 0, finding.lasting if finding else 0)
        level = level if order <= level else 0
        if finding is None:
            finding = Finding(subject, item_of(subject), order, day)
            self._by_subject[subject] = finding
        finding.lasting = level
        if level:
            finding.verdict, finding.settled_day = level, 0
        return finding

    def note(self, note: Noted) -> None:
        """Take a finding somebody wrote down; with the verdict's own it is one."""
        subject, order = note.subject or note.item, VERDICT_ORDER[note.verdict]
        if order < WATCH:
            return
        finding = self._by_subject.get(subject)
        if finding and finding.settled_day:
            finding = None
        mark = order if note.lasting else 0
        if finding and note.day == finding.seen_day:
            order = max(order, finding.verdict)
        finding = self._told(finding, subject, order, note.day, mark)
        if note.day > finding.seen_day or order > finding.verdict:
            finding.see(order, note.day, -1)
        finding.item = note.item or finding.item
        if note.recheck_day is not None:
            finding.own_day = note.recheck_day

    def work(self, action: Action) -> None:
        """Take what was done: it settles, or puts the finding off for a while."""
        for finding in self._by_subject.values():
            if finding.settled_day or not finding.is_worked_on(action):
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
        self.forget(note.subject or note.item)

    def forget(self, subject: str) -> None:
        """End the subject's finding, and with it a lasting mark."""
        self._by_subject.pop(subject, None)


def standing_findings(record: FanRecord) -> list[Finding]:
    """Findings that stand at the end of the record, in order of their subjects."""
    findings = Findings()
    for _ in follow(record, findings):
        pass
    return findings.standing


def follow(record: FanRecord, findings: Findings) -> Iterator[Fact]:
    """Tell ``findings`` every fact in time order; gives each fact once it is taken."""
    for _, take, fact in sorted(steps(record, findings), key=itemgetter(0)):
        take(fact)
        yield fact


def steps(record: FanRecord, findings: Findings) -> Iterator[tuple[Place, Take, Fact]]:
    """What to do with each fact, and its place in time."""
    timeline = Timeline(record.looks, record.noted)
    for place, look in timeline.looks:
        yield place, findings.look, look
    for action in record.actions:
        yield timeline.work(action.day, action.minute), findings.work, action
    for note in record.noted:
        yield timeline.note(note.day, note.minute), findings.note, note
        if note.closed_day is not None:
            yield day_end(note.closed_day), findings.close, note
    for decision in record.decisions:
        yield day_end(decision.day), findings.answer, decision
