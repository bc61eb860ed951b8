"""What the past of a fan adds to a record: vibration felt before, and repairs it calls back.

Both depend on the order of things and not on the order in which they were told, so a late report
or a correction may change them for what is already stored.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from config.questions import Part, Row
from fleet.quantities import item_of
from visits.models import Action, Check, Finding
from visits.models.visits import superseded
from visits.payload.entries import VisitEntry
from visits.services.rows import NewCheck, Rows
from visits.services.stored import chunked

CALL_BACK_DAYS = 30
MENDED = ("repaired", "replaced")
RESET_KINDS = frozenset({"balanced", "speed_changed", "remounted"})
RESET_ITEMS = frozenset({"machine", "wheel", "bearings", "motor", "sheaves"})
AS_FOUND, WORK, AS_LEFT = range(3)
SLIGHT = "slight"
SLIGHT_COLUMNS = ("fan_id", "id", "machine_id", "visit_id", "stage", "began_at", "judged")
WORK_COLUMNS = ("fan_id", "visit_id", "visit__began_at", "visit__local_on", "kind", "item")

Order = tuple[datetime, UUID, int]
Before = Mapping[str, Sequence[Row]]


@dataclass(frozen=True, slots=True)
class Slight:
    """One look at which vibration felt slight; ``new`` is the unsaved check, else it is stored.

    Other grades mean the same whatever came before them.
    """

    order: Order
    machine_id: int | None
    check_id: int | None
    verdict: str
    new: NewCheck | None = None


@dataclass(frozen=True, slots=True)
class Work:
    """One action of a visit: when, what was done, to which item."""

    order: Order
    on: date
    kind: str
    item: str


@dataclass(slots=True)
class Past:
    """Looks with a slight vibration and work by fan, stored and new together."""

    slight: dict[int, list[Slight]] = field(default_factory=lambda: defaultdict(list))
    work: dict[int, list[Work]] = field(default_factory=lambda: defaultdict(list))


def past_of(sites: Callable[[Mapping[str, Any]], Any]) -> dict[str, Part]:
    """What a question asks of the past of the fans at these sites."""

    def standing(given: Mapping[str, Any], model: Any) -> Any:
        rows = model.objects.order_by().filter(~superseded("visit"))
        return rows.filter(fan__site__in=sites(given).values("pk"))

    return {
        "slight": lambda given: (
            standing(given, Check).filter(vibration_felt=SLIGHT).values(*SLIGHT_COLUMNS)
        ),
        "work": lambda given: standing(given, Action).values(*WORK_COLUMNS),
    }


def hangs_on_past(entry: VisitEntry) -> bool:
    """Whether what came before says what this visit means, or this visit what came after."""
    felt = any(check.readings.columns.get("vibration_felt") == SLIGHT for check in entry.checks)
    return bool(felt or entry.actions or entry.findings or entry.supersedes)


def settle_past(
    rows: Rows, before: Before, corrected: Collection[UUID], fans_corrected: Collection[int]
) -> Past:
    """Lay the new ``rows`` into what came ``before``, and mend what they change in rows already
    stored.

    ``before`` has the rows that ``past_of`` asks for, ``corrected`` are visits that these rows
    supersede, ``fans_corrected`` the fans of their sites.  Findings among the rows get their
    call-back; ``new_looks`` then answers for new checks.
    """
    past = Past()
    mended = {action.fan_id for action in rows.actions if action.kind in MENDED}
    slight = _slight_fans(rows) | set(fans_corrected)
    _take_slight(past, before.get("slight", ()), slight, corrected)
    worked = slight | mended | {finding.fan_id for finding in rows.findings}
    _take_work(past, before.get("work", ()), worked, corrected)
    _add_new(past, rows, corrected)
    _mark_call_backs(rows.findings, past)
    _mend_slight(past)
    _mend_call_backs(past, mended | set(fans_corrected), corrected)
    return past


def _slight_fans(rows: Rows) -> set[int]:
    fans = {check.row.fan_id for check in rows.checks if check.row.vibration_felt == SLIGHT}
    return fans | {action.fan_id for action in rows.actions if resets(action.kind, action.item)}


def resets(kind: str, item: str) -> bool:
    """Whether vibration starts anew after such work."""
    return kind in RESET_KINDS or (kind == "replaced" and item in RESET_ITEMS)


def _take_slight(
    past: Past, rows: Iterable[Row], fans: Collection[int], corrected: Collection[UUID]
) -> None:
    for row in rows:
        if row["fan_id"] in fans and row["visit_id"] not in corrected:
            order = (row["began_at"], row["visit_id"], _rank(row["stage"]))
            verdict = row["judged"].get("vibration_felt", "")
            past.slight[row["fan_id"]].append(Slight(order, row["machine_id"], row["id"], verdict))


def load_work(past: Past, fans: Collection[int]) -> None:
    """Add the standing actions on these fans."""
    for part in chunked(fans):
        done = Action.objects.filter(~superseded("visit"), fan__in=part)
        _take_work(past, done.values(*WORK_COLUMNS), fans)


def _take_work(
    past: Past, rows: Iterable[Row], fans: Collection[int], corrected: Collection[UUID] = ()
) -> None:
    for row in rows:
        if row["fan_id"] in fans and row["visit_id"] not in corrected:
            order = (row["visit__began_at"], row["visit_id"], WORK)
            past.work[row["fan_id"]].append(
                Work(order, row["visit__local_on"], row["kind"], row["item"])
            )


def add_slight(past: Past, check: Check, new: NewCheck | None = None) -> None:
    """Add a check at which vibration felt slight to its fan's past."""
    order = (check.began_at, check.visit_id, _rank(check.stage))
    verdict = check.judged.get("vibration_felt", "")
    past.slight[check.fan_id].append(Slight(order, check.machine_id, check.pk, verdict, new))


def _rank(stage: str) -> int:
    return AS_FOUND if stage == "as_found" else AS_LEFT


def _add_new(past: Past, rows: Rows, corrected: Collection[UUID]) -> None:
    for check in rows.checks:
        if check.row.vibration_felt == SLIGHT and check.row.visit_id not in corrected:
            add_slight(past, check.row, check)
    for action in rows.actions:
        visit = action.visit
        if visit.pk in corrected:
            continue
        order = (visit.began_at, visit.pk, WORK)
        past.work[action.fan_id].append(Work(order, visit.local_on, action.kind, action.item))


def slight_before(past: Past, fan_id: int) -> Iterator[tuple[Slight, bool]]:
    """Each look with a slight vibration, and whether it had felt so since the last reset."""
    steps: list[tuple[Order, Slight | Work]] = [(look.order, look) for look in past.slight[fan_id]]
    steps += [(work.order, work) for work in past.work[fan_id] if resets(work.kind, work.item)]
    before: Slight | None = None
    for _, step in sorted(steps, key=lambda pair: pair[0]):
        if isinstance(step, Work):
            before = None
            continue
        yield step, before is not None and before.machine_id == step.machine_id
        before = step


def new_looks(past: Past) -> Iterator[tuple[NewCheck, bool]]:
    """New checks with a slight vibration, each with its ``slight_before``."""
    for fan_id in list(past.slight):
        for look, before in slight_before(past, fan_id):
            if look.new is not None:
                yield look.new, before


def _mend_slight(past: Past) -> None:
    """Give stored looks the verdict the whole order now says."""
    right = {
        look.check_id: "within" if before else "watch"
        for fan_id in list(past.slight)
        for look, before in slight_before(past, fan_id)
        if look.new is None and (look.verdict == "within") is not before
    }
    if right:
        checks = [check for part in chunked(right) for check in Check.objects.filter(pk__in=part)]
        for check in checks:
            check.judged["vibration_felt"] = right[check.pk]
        Check.objects.bulk_update(checks, ["judged"], batch_size=500)


def _mark_call_backs(findings: Iterable[Finding], past: Past) -> list[Finding]:
    """Set ``call_back`` of each finding; those that changed."""
    changed = []
    for finding in findings:
        found = is_call_back(finding, past.work[finding.fan_id])
        if finding.call_back != found:
            finding.call_back = found
            changed.append(finding)
    return changed


def is_call_back(finding: Finding, work: Iterable[Work]) -> bool:
    """Whether the finding's item was repaired or replaced within the 30 days before it failed."""
    visit = finding.visit
    on = finding.failed_on or visit.local_on
    order = (visit.began_at, visit.pk, AS_FOUND)
    item = item_of(finding.item)
    return any(
        done.kind in MENDED
        and item_of(done.item) == item
        and done.order < order
        and timedelta() <= on - done.on <= timedelta(days=CALL_BACK_DAYS)
        for done in work
    )


def _mend_call_backs(past: Past, fans: Collection[int], corrected: Collection[UUID]) -> None:
    """Findings already stored may have become, or ceased to be, call-backs of other work."""
    for part in chunked(fans):
        stored = Finding.objects.filter(fan__in=part, visit__superseded_by__isnull=True)
        standing = [f for f in stored.select_related("visit") if f.visit_id not in corrected]
        changed = _mark_call_backs(standing, past)
        if changed:
            Finding.objects.bulk_update(changed, ["call_back"], batch_size=500)
