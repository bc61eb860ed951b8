"""What the past of a fan adds to a record: vibration felt before, and repairs it calls back.

Both depend on the order of things and not on the order in which they were told, so a late report
or a correction may change them for what is already stored.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from uuid import UUID

from fleet.quantities import item_of
from visits.models import Action, Check, Finding
from visits.services.rows import NewCheck, Rows
from visits.services.stored import chunked

CALL_BACK_DAYS = 30
MENDED = ("repaired", "replaced")
RESET_KINDS = frozenset({"balanced", "speed_changed", "remounted"})
RESET_ITEMS = frozenset({"machine", "wheel", "bearings", "motor", "sheaves"})
AS_FOUND, WORK, AS_LEFT = range(3)
FELT_COLUMNS = (
    "fan_id", "machine_id", "visit_id", "stage", "began_at", "vibration_felt", "judged",
)  # fmt: skip
WORK_COLUMNS = ("fan_id", "visit_id", "visit__began_at", "visit__local_on", "kind", "item")

Order = tuple[datetime, UUID, int]


@dataclass(slots=True)
class Felt:
    """One look with a felt grade; ``new`` is the unsaved check, else ``row`` is the stored one."""

    order: Order
    machine_id: int | None
    grade: str
    row: Check
    new: NewCheck | None = None


@dataclass(frozen=True, slots=True)
class Work:
    """One action."""

    order: Order
    on: date
    kind: str
    item: str


@dataclass(slots=True)
class Past:
    """Felt looks and work by fan, stored and new together."""

    felt: dict[int, list[Felt]] = field(default_factory=lambda: defaultdict(list))
    work: dict[int, list[Work]] = field(default_factory=lambda: defaultdict(list))


def settle_past(rows: Rows, corrected: Collection[UUID], fans_corrected: Collection[int]) -> Past:
    """Read what the new ``rows`` hang on, and mend what they change in rows already stored.

    ``corrected`` are visits these rows supersede, ``fans_corrected`` the fans of their sites.
    Findings among the rows get their call-back; ``new_looks`` then answers for new checks.
    """
    past = Past()
    mended = {action.fan_id for action in rows.actions if action.kind in MENDED}
    felt = _felt_fans(rows) | set(fans_corrected)
    _load_felt(past, felt, corrected)
    load_work(past, felt | mended | {finding.fan_id for finding in rows.findings}, corrected)
    _add_new(past, rows, corrected)
    _mark_call_backs(rows.findings, past)
    _mend_felt(past)
    _mend_call_backs(past, mended | set(fans_corrected), corrected)
    return past


def _felt_fans(rows: Rows) -> set[int]:
    fans = {check.row.fan_id for check in rows.checks if check.row.vibration_felt}
    return fans | {action.fan_id for action in rows.actions if resets(action.kind, action.item)}


def resets(kind: str, item: str) -> bool:
    """Whether vibration starts anew after such work."""
    return kind in RESET_KINDS or (kind == "replaced" and item in RESET_ITEMS)


def _load_felt(past: Past, fans: Collection[int], corrected: Collection[UUID]) -> None:
    for part in chunked(fans):
        checks = Check.objects.filter(
            fan__in=part, vibration_felt__isnull=False, visit__superseded_by__isnull=True
        ).only(*FELT_COLUMNS)
        for check in checks:
            if check.visit_id not in corrected:
                add_felt(past, check)


def load_work(past: Past, fans: Collection[int], corrected: Collection[UUID] = ()) -> None:
    """Add the standing actions on these fans."""
    for part in chunked(fans):
        done = Action.objects.filter(fan__in=part, visit__superseded_by__isnull=True)
        for fan_id, visit_id, began_at, on, kind, item in done.values_list(*WORK_COLUMNS):
            if visit_id not in corrected:
                past.work[fan_id].append(Work((began_at, visit_id, WORK), on, kind, item))


def add_felt(past: Past, check: Check, new: NewCheck | None = None) -> None:
    """Add a check with a felt grade to its fan's past."""
    rank = AS_FOUND if check.stage == "as_found" else AS_LEFT
    order = (check.began_at, check.visit_id, rank)
    look = Felt(order, check.machine_id, check.vibration_felt, check, new)
    past.felt[check.fan_id].append(look)


def _add_new(past: Past, rows: Rows, corrected: Collection[UUID]) -> None:
    for check in rows.checks:
        if check.row.vibration_felt and check.row.visit_id not in corrected:
            add_felt(past, check.row, check)
    for action in rows.actions:
        visit = action.visit
        if visit.pk in corrected:
            continue
        order = (visit.began_at, visit.pk, WORK)
        past.work[action.fan_id].append(Work(order, visit.local_on, action.kind, action.item))


def slight_before(past: Past, fan_id: int) -> Iterator[tuple[Felt, bool]]:
    """Each felt look of a fan with whether it had felt slight since the last reset before it."""
    steps: list[tuple[Order, Felt | Work]] = [(look.order, look) for look in past.felt[fan_id]]
    steps += [(work.order, work) for work in past.work[fan_id] if resets(work.kind, work.item)]
    seen, machine_id = False, None
    for _, step in sorted(steps, key=lambda pair: pair[0]):
        if isinstance(step, Work):
            seen = False
            continue
        seen = seen and step.machine_id == machine_id
        yield step, seen
        seen, machine_id = seen or step.grade == "slight", step.machine_id


def new_looks(past: Past) -> Iterator[tuple[NewCheck, bool]]:
    """New checks with a felt grade, each with its ``slight_before``."""
    for fan_id in list(past.felt):
        for look, before in slight_before(past, fan_id):
            if look.new is not None:
                yield look.new, before


def _mend_felt(past: Past) -> None:
    """Give stored looks the verdict the whole order now says."""
    changed = []
    for fan_id in list(past.felt):
        for look, before in slight_before(past, fan_id):
            if look.new is None and look.grade == "slight":
                verdict = "within" if before else "watch"
                if look.row.judged.get("vibration_felt") != verdict:
                    look.row.judged["vibration_felt"] = verdict
                    changed.append(look.row)
    if changed:
        Check.objects.bulk_update(changed, ["judged"], batch_size=500)


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
