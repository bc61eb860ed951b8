"""What stood around each failure of a pattern, read from the record whenever it is asked for."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from uuid import UUID

from django.db.models import Q

from fleet.failure_terms import is_known
from fleet.models import Machine
from fleet.quantities import item_of
from schedules.due.advised import Failed, after_advice
from schedules.models import Pattern
from visits.losses import OF_FAN, Loss, each_told, read_losses
from visits.models import Action, Check, Event, Finding
from visits.models.visits import superseded

EVENT_DAYS = 30
"""Events so long before a failure are told with it; our choice."""
AT_FAULT = ("watch", "act", "stop")


@dataclass(frozen=True)
class Look:
    """An as-found check beside a failure: its day and what of it was not within, by subject."""

    on: date
    visit: UUID
    verdicts: Mapping[str, str]


@dataclass(frozen=True)
class Failure:
    """One failure of the item.

    ``failed_on`` is as recorded; where nobody knew, it lies after ``ran_on``, when the fan was last
    seen running or the item was renewed (None: never before), on ``found_on`` at the latest.
    ``replaced`` are parts renewed for it, ``cause`` what its last telling or call-back gives.
    ``looked_before`` and ``looked_after`` are None where there was no look.  ``advised`` has the
    advice before it that led to nothing.
    """

    failed_on: date | None
    ran_on: date | None
    found_on: date
    visit: UUID
    machine: Machine | None
    in_warranty: bool
    cause: str
    mode: str
    mechanism: str
    replaced: Sequence[Action]
    looked_before: Look | None
    looked_after: Look | None
    events: Sequence[Event]
    tipped_at: frozenset[UUID]
    advised: Failed | None

    @property
    def day(self) -> date:
        """As recorded, else the day it was found."""
        return self.failed_on or self.found_on

    @property
    def without_cause(self) -> bool:
        """Whether a part was renewed and nobody wrote down why it had failed."""
        return bool(self.replaced and not self.cause)


@dataclass(frozen=True)
class CallBack:
    """The same item again within 30 days of its repair: counted as no new failure."""

    on: date
    visit: UUID


@dataclass(frozen=True)
class Evidence:
    """A pattern's failures, oldest first; ``common`` are subjects at fault before or at each."""

    failures: Sequence[Failure]
    call_backs: Sequence[CallBack] = ()
    common: Sequence[str] = field(default=())


def read_evidence(pattern: Pattern) -> Evidence:
    """What is on record of the pattern's item; twelve questions at most."""
    fan = pattern.fan
    rows = Finding.objects.standing().filter(fan=fan, loss_of_function=True)
    findings = [
        row
        for row in rows.select_related("visit", "machine").order_by("visit__began_at", "pk")
        if item_of(row.item) == pattern.item
    ]
    losses = each_told(
        loss for loss in read_losses(Q(fan=fan)) if loss.item == pattern.item
    )  # fmt: skip
    checks = list(
        Check.objects.filter(~superseded("visit"), fan=fan)
        .select_related("visit")
        .only("visit", "stage", "began_at", "judged", "running", "visit__local_on")
        .order_by("began_at", "stage", "pk")
    )
    work = Action.objects.filter(~superseded("visit"), fan=fan, kind="replaced")
    replaced = [
        row
        for row in work.select_related("visit").order_by("visit__began_at", "pk")
        if item_of(row.item) in (pattern.item, OF_FAN)
    ]
    events = list(Event.objects.standing().about(fan).order_by("ended_on", "pk"))
    tipped = frozenset(Event.tipped_fans.through.objects.filter(fan=fan).values_list(
        "event_id", flat=True
    ))  # fmt: skip
    advised = {
        each.finding.pk: each
        for each in after_advice(Finding.objects.filter(pk__in=[row.pk for row in findings]))
        if each.advice
    }
    named = {row.pk: row for row in findings}
    called_back = [row for row in findings if row.call_back]
    failures = [
        _failure(told[0], _tellings(told, until, named, called_back), checks, replaced, events,
                 tipped, advised.get(told[0].finding))
        for told, until in _one_a_day(losses)
    ]  # fmt: skip
    back = [CallBack(_day(row), row.visit_id) for row in called_back]
    return Evidence(failures, back, _common(failures))


def _one_a_day(losses: Sequence[Sequence[Loss]]) -> Iterator[tuple[Sequence[Loss], datetime]]:
    """Tellings of each day's failure, the first day's first, and when the item failed anew."""
    by_day: dict[date, list[Loss]] = defaultdict(list)
    for told in losses:
        by_day[told[0].day] += told
    days = [by_day[day] for day in sorted(by_day)]
    began = [told[0].began_at for told in days]
    return zip(days, [*began, datetime.max.replace(tzinfo=UTC)][1:], strict=True)


def _tellings(
    told: Sequence[Loss],
    until: datetime,
    named: Mapping[UUID, Finding],
    called_back: Iterable[Finding],
) -> list[Finding]:
    """Findings that tell of a failure, then those that call it back before it failed anew."""
    back = (row for row in called_back if told[0].began_at <= row.visit.began_at < until)
    return [*(named[loss.finding] for loss in told), *back]


def _last_told(texts: Iterable[str]) -> str:
    """The last that names something; *unknown* in words names nothing."""
    return next((text.strip() for text in reversed([*texts]) if is_known(text)), "")


def _day(finding: Finding) -> date:
    return finding.failed_on or finding.visit.local_on


def _failure(
    loss: Loss,
    tellings: Sequence[Finding],
    checks: Sequence[Check],
    replaced: Sequence[Action],
    events: Sequence[Event],
    tipped: frozenset[UUID],
    advised: Failed | None,
) -> Failure:
    before = [each for each in checks if each.visit.local_on < loss.day]
    found = [each for each in checks if each.stage == "as_found" and each.began_at >= loss.began_at]
    earlier = [each for each in checks if each.began_at < loss.began_at]
    ran = [each.visit.local_on for each in earlier if each.running == "runs"]
    ran += [row.visit.local_on for row in replaced if row.visit.began_at < loss.began_at]
    since = loss.day - timedelta(days=EVENT_DAYS)
    finding, visits = tellings[0], {row.visit_id for row in tellings if not row.call_back}
    machine = finding.machine
    return Failure(
        failed_on=loss.failed_on,
        ran_on=max(ran) if ran and loss.failed_on is None else None,
        found_on=loss.found_on,
        visit=finding.visit_id,
        machine=machine,
        in_warranty=bool(machine and machine.warranty_until and loss.day <= machine.warranty_until),
        cause=_last_told(row.cause for row in tellings),
        mode=finding.failure_mode,
        mechanism=_last_told(row.mechanism for row in tellings),
        replaced=[row for row in replaced if row.visit_id in visits],
        looked_before=_look(next((c for c in reversed(before) if c.stage == "as_found"), None)),
        looked_after=_look(found[0] if found else None),
        events=[each for each in events if since <= each.ended_on and each.started_on <= loss.day],
        tipped_at=tipped,
        advised=advised,
    )


def _look(check: Check | None) -> Look | None:
    if check is None:
        return None
    verdicts = {name: word for name, word in check.judged.items() if word in AT_FAULT}
    return Look(check.visit.local_on, check.visit_id, verdicts)


def _common(failures: Sequence[Failure]) -> Sequence[str]:
    """Subjects at fault at the last look before each failure, or when each was found.

    That the fan stood still is the failure itself.
    """
    sides = [[each.looked_before for each in failures], [each.looked_after for each in failures]]
    found: dict[str, None] = {}
    for looks in sides:
        verdicts = [set(look.verdicts) if look else set() for look in looks]
        # one look between several failures is no repetition
        is_repeated = len({look.visit for look in looks if look}) > 1
        shared = set.intersection(*verdicts) if is_repeated else set()
        found |= dict.fromkeys(sorted(shared - {"running"}))
    return list(found)
