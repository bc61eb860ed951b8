"""Rule 6: when an open finding must be looked at again."""

from __future__ import annotations

from dataclasses import dataclass, field

from fleet.quantities import VERDICT_ORDER, item_of
from schedules.engine.record import Action, Decision, FanRecord, Look, Noted
from tests.oracle.moments import ANSWERED, CLOSED, DONE, NOTED, History, Live, Place, later

DAYS = {"watch": 30, "act": 14, "stop": 0}
TEMPORARY_DAYS = 14
SETTLING = ("repaired", "replaced", "adjusted", "cleaned")
DATED_BY_RULE_5 = ("vibration", "vibration_felt")


@dataclass
class Finding:
    """One subject's fault while it is open."""

    verdict: str
    seen_day: int
    days: int
    lasting_verdict: str = ""
    own_day: int | None = None
    temporary: Action | None = None
    declined: bool = False

    @property
    def is_lasting(self) -> bool:
        return self.lasting_verdict != ""

    def live(self, subject: str) -> Live:
        fact = self.seen_day if self.temporary is None else self.temporary.day
        double = 2 if self.declined else 1
        if self.own_day is not None:
            due, fact = self.own_day, self.seen_day
        elif self.temporary is not None:
            due = fact + TEMPORARY_DAYS * double
        else:
            due = fact + self.days * double
        stop = self.verdict == "stop"
        return Live(6, due, due if stop else due + 3, fact, stop, subject)


def is_fault(verdict: str) -> bool:
    return verdict in DAYS


def worse(verdict: str, than: str) -> bool:
    return VERDICT_ORDER[verdict] > VERDICT_ORDER[than]


@dataclass
class Subject:
    """Follows one subject through the record; ``finding`` is what is open of it now."""

    name: str
    items: set[str] = field(default_factory=set)
    finding: Finding | None = None

    def looked(self, look: Look) -> None:
        verdict = look.verdicts.get(self.name, "cannot_judge")
        if verdict == "cannot_judge":
            return
        finding = self.finding
        if finding and finding.temporary:
            action = finding.temporary
            if not later(look, action.day, action.minute):
                return
            finding.temporary = None
        if verdict == "within":
            self.finding = None
        elif finding or look.stage == "as_found":
            lasting = self.name in look.lasting
            days = look.recheck_days.get(self.name, DAYS[verdict])
            self._seen(verdict, look.day, days, lasting)
            self._own_day_passed(look.day)

    def _own_day_passed(self, day: int) -> None:
        finding = self.finding
        if finding and finding.own_day is not None and day >= finding.own_day:
            finding.own_day = None

    def _seen(self, verdict: str, day: int, days: int, lasting: bool) -> None:
        finding = self.finding
        if finding is None:
            finding = self.finding = Finding(verdict, day, days)
        if worse(verdict, finding.verdict):
            finding.declined = False
        if finding.lasting_verdict and worse(verdict, finding.lasting_verdict):
            finding.lasting_verdict = ""
        finding.verdict, finding.seen_day, finding.days = verdict, day, days
        if lasting and verdict != "stop":
            finding.lasting_verdict = verdict

    def noted(self, noted: Noted) -> None:
        finding = self.finding
        if not is_fault(noted.verdict):
            return
        verdict, days = noted.verdict, DAYS[noted.verdict]
        if finding and finding.seen_day == noted.day and not worse(verdict, finding.verdict):
            verdict, days = finding.verdict, finding.days
        self._seen(verdict, noted.day, days, noted.lasting)
        if self.finding and noted.recheck_day is not None:
            self.finding.own_day = noted.recheck_day

    def done(self, action: Action) -> None:
        if action.item != self.name and action.item not in self.items:
            return
        if action.kind in SETTLING:
            self.finding = None
        elif action.kind == "temporary" and self.finding:
            self.finding.temporary = action

    def answered(self, decision: Decision) -> None:
        about = decision.subject == self.name or decision.subject in self.items
        if self.finding and about and decision.answer == "declined":
            self.finding.declined = True


def _subjects(record: FanRecord) -> list[Subject]:
    names = {name for look in record.looks for name in look.verdicts}
    names |= {noted.subject or noted.item for noted in record.noted}
    subjects = []
    for name in sorted(names - set(DATED_BY_RULE_5)):
        items = {item_of(name)}
        subjects.append(Subject(name, items))
    return subjects


Step = tuple[Place, Look | Noted | Action | Decision | str]


def _steps(record: FanRecord) -> list[Step]:
    """Everything that may open, move or settle a finding, in order; a text is a subject closed."""
    history = History(record)
    steps: list[Step] = [*history.of_looks()]
    for told, noted in enumerate(record.noted):
        steps.append((history.of(NOTED, noted.day, noted.minute, told), noted))
        if noted.closed_day is not None:
            place = History.end_of_day(CLOSED, noted.closed_day, told)
            steps.append((place, noted.subject or noted.item))
    for told, action in enumerate(record.actions):
        steps.append((history.of(DONE, action.day, action.minute, told), action))
    for told, decision in enumerate(record.decisions):
        steps.append((History.end_of_day(ANSWERED, decision.day, told), decision))
    return sorted(steps, key=lambda step: step[0])


def _follow(subject: Subject, steps: list[Step]) -> None:
    for _, step in steps:
        if isinstance(step, Look):
            subject.looked(step)
        elif isinstance(step, Noted):
            if (step.subject or step.item) == subject.name:
                subject.noted(step)
        elif isinstance(step, Action):
            subject.done(step)
        elif isinstance(step, Decision):
            subject.answered(step)
        elif step == subject.name:
            subject.finding = None


def follow_up(record: FanRecord) -> list[Live]:
    steps = _steps(record)
    dates = []
    for subject in _subjects(record):
        _follow(subject, steps)
        if subject.finding and not subject.finding.is_lasting:
            dates.append(subject.finding.live(subject.name))
    return dates
