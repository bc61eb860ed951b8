"""Rule 6: when an open finding must be looked at again."""

from __future__ import annotations

from dataclasses import dataclass, replace

from fleet.quantities import VERDICT_ORDER, item_of
from schedules.engine.record import Action, Decision, FanRecord, Look, Noted
from tests.oracle.moments import ANSWERED, CLOSED, DONE, NOTED, History, Live, Place, later

DAYS = {"watch": 30, "act": 14, "stop": 0}
TEMPORARY_DAYS = 14
SETTLING = ("repaired", "replaced", "adjusted", "cleaned")
PARTS = ("motor", "capacitor", "wheel", "shaft", "housing", "belt", "sheaves", "bearings")
"""What a new machine brings along (common practice, no source)."""


@dataclass
class Finding:
    """One subject's fault while it is open."""

    verdict: str
    seen_day: int
    days: int
    own_day: int | None = None
    temporary: Action | None = None
    look: Look | None = None
    declined: bool = False

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
    return VERDICT_ORDER[verdict] > VERDICT_ORDER.get(than, 0)


@dataclass
class Subject:
    """Follows one subject through the record; ``finding`` is what is open of it now.

    ``lasting_verdict`` is the worst at which the open finding was marked lasting.
    """

    name: str
    item: str
    finding: Finding | None = None
    lasting_verdict: str = ""
    settled: tuple[int, Finding, str] | None = None

    @property
    def is_lasting(self) -> bool:
        marked = self.lasting_verdict
        return self.finding is not None and marked != "" and not worse(self.finding.verdict, marked)

    def _mark(self, verdict: str, lasting: bool) -> None:
        """A worse verdict ends the mark; a fault may be marked, a stop never."""
        if self.lasting_verdict and worse(verdict, self.lasting_verdict):
            self.lasting_verdict = ""
        if lasting and verdict in ("watch", "act") and worse(verdict, self.lasting_verdict):
            self.lasting_verdict = verdict

    def looked(self, look: Look) -> None:
        verdict = look.verdicts.get(self.name, "cannot_judge")
        if verdict == "cannot_judge":
            return
        if self._was_worse_at_once(look, verdict):
            return
        self._still_bad_as_left(look, verdict)
        temporary = self.finding and self.finding.temporary
        repair_stands = temporary and not later(look, temporary.day, temporary.minute)
        if self.finding and not repair_stands:
            self.finding.temporary = None
        if verdict == "within":
            if not repair_stands:
                self.end()
        elif self.finding or look.stage == "as_found":
            days = look.recheck_days.get(self.name, DAYS[verdict])
            self._mark(verdict, self.name in look.lasting)
            self._seen(verdict, look.day, days)
            if self.finding:
                self.finding.look = look
            self._own_day_passed(look.day)

    def _was_worse_at_once(self, look: Look, verdict: str) -> bool:
        """Of two as-found checks of one moment the worse counts, in whichever order they stand."""
        other = self.finding.look if self.finding else None
        if self.finding is None or other is None:
            return False
        found = look.stage == other.stage == "as_found"
        at_once = (look.day, look.minute) == (other.day, other.minute)
        return found and at_once and worse(self.finding.verdict, verdict)

    def _still_bad_as_left(self, look: Look, verdict: str) -> None:
        """A fault as left on the day of its repair was not repaired: it stands as it was marked."""
        if look.stage == "as_left" and is_fault(verdict) and self.finding is None and self.settled:
            day, finding, mark = self.settled
            if day == look.day:
                self.finding, self.lasting_verdict = finding, mark

    def _own_day_passed(self, day: int) -> None:
        finding = self.finding
        if finding and finding.own_day is not None and day >= finding.own_day:
            finding.own_day = None

    def _seen(self, verdict: str, day: int, days: int) -> None:
        finding = self.finding
        if finding is None:
            finding = self.finding = Finding(verdict, day, days)
        if worse(verdict, finding.verdict):
            finding.declined = False
        finding.verdict, finding.seen_day, finding.days = verdict, day, days

    def noted(self, noted: Noted) -> None:
        finding = self.finding
        if not is_fault(noted.verdict):
            return
        verdict, days = noted.verdict, DAYS[noted.verdict]
        if finding and finding.seen_day == noted.day and not worse(verdict, finding.verdict):
            verdict, days = finding.verdict, finding.days
        self._mark(verdict, noted.lasting and verdict == noted.verdict)
        self._seen(verdict, noted.day, days)
        if self.finding and noted.recheck_day is not None:
            self.finding.own_day = noted.recheck_day

    def done(self, action: Action) -> None:
        renewed = action.kind == "replaced" and action.item == "machine" and self.item in PARTS
        if action.item not in (self.name, self.item) and not renewed:
            return
        if action.kind in SETTLING:
            self.settle(action.day)
        elif action.kind == "temporary" and self.finding:
            self.finding.temporary = action

    def settle(self, day: int) -> None:
        if self.finding:
            self.settled = (day, replace(self.finding, temporary=None), self.lasting_verdict)
        self.end()

    def end(self) -> None:
        """Seen better, repaired or closed: the fault is over, and so is its mark."""
        self.finding, self.lasting_verdict = None, ""

    def answered(self, decision: Decision) -> None:
        about = decision.subject in (self.name, self.item)
        if self.finding and about and decision.answer == "declined":
            self.finding.declined = True


def _subjects(record: FanRecord) -> list[Subject]:
    names = {name for look in record.looks for name in look.verdicts}
    names |= {noted.subject or noted.item for noted in record.noted}
    dated_here = (name for name in names if not name.startswith("vibration"))
    return [Subject(name, item_of(name)) for name in sorted(dated_here)]


Step = tuple[Place, object]


def steps_of(record: FanRecord) -> list[Step]:
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


def follow(subject: Subject, step: object) -> None:
    """Takes one step of the record into account."""
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
        subject.end()


def _follow(subject: Subject, steps: list[Step]) -> None:
    for _, step in steps:
        follow(subject, step)


def lasting_at(record: FanRecord, look: Look) -> set[str]:
    """Subjects of a look whose fault is marked lasting then, or in a note of that day."""
    steps = steps_of(record)
    seen_at = next(place for place, step in steps if step is look)
    before = [(place, step) for place, step in steps if place <= seen_at]
    notes = [
        (place, step)
        for place, step in steps
        if isinstance(step, Noted) and step.day == look.day and place > seen_at
    ]
    lasting = set()
    for name, verdict in look.verdicts.items():
        subject = Subject(name, item_of(name))
        for known in (before, notes):
            _follow(subject, known)
            if subject.lasting_verdict and not worse(verdict, subject.lasting_verdict):
                lasting.add(name)
    return lasting


def follow_up(record: FanRecord) -> list[Live]:
    steps = steps_of(record)
    dates = []
    for subject in _subjects(record):
        _follow(subject, steps)
        if subject.finding and not subject.is_lasting:
            dates.append(subject.finding.live(subject.name))
    return dates
