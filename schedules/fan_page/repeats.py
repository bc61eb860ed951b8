"""What came back within a year: the same part renewed or failed again, breakers reset again."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from dateutil.relativedelta import relativedelta
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.failure_terms import is_known
from fleet.quantities import VERDICT_ORDER, item_of
from schedules.fan_page.gathering import FanFile, is_superseded
from schedules.fan_page.losses import losses_in
from schedules.models import Pattern
from schedules.wording import day_text
from schedules.wording.causes import cause_text
from schedules.wording.patterns import months_over, times_text
from visits.models import Check, Finding
from visits.wording import ITEMS, VERDICTS, subject_words, words
from visits.wording.names import upper_first

Closed = Mapping[str, tuple[str, date]]
WITHIN = relativedelta(months=12)
AT_FAULT = ("watch", "act", "stop")
OF_ANY_FAILURE = "running"
"""That a fan stood still is the failure itself, not what was seen beside it."""


@dataclass(frozen=True, order=True)
class Time:
    """One time a part was renewed or failed: its day and the visit that recorded it."""

    day: date
    visit_id: UUID


def repeats_of(file: FanFile) -> tuple[str, ...]:
    """A sentence for each part renewed or failed again and for resets, all of the last year.

    Call-backs are apart: a repair that did not hold is one failure, not two; so is one told twice.
    """
    renewed = _lately(file, _renewals(file))
    failed = _lately(file, _failures(file))
    closed = Pattern.objects.causes_closed_with(file.fan.pk) if renewed or failed else {}
    told = [_repeat(file, item, times, closed, is_renewal=True) for item, times in renewed.items()]
    told += [
        _repeat(file, item, times, closed, is_renewal=False)
        for item, times in failed.items()
        if item not in renewed
    ]
    return (*told, *_resets(file))


def _renewals(file: FanFile) -> Iterator[tuple[str, Time]]:
    for day, action in file.standing_actions:
        if action.kind == "replaced":
            yield action.item, Time(day, action.visit_id)


def _failures(file: FanFile) -> Iterator[tuple[str, Time]]:
    firsts = {loss.finding: loss.day for loss in losses_in(file)}
    for finding in _findings(file):
        if finding.pk in firsts:
            yield finding.item, Time(firsts[finding.pk], finding.visit_id)


def _findings(file: FanFile) -> Iterator[Finding]:
    for visit_id, rows in file.parts[Finding].items():
        if not is_superseded(file.visits[visit_id]):
            yield from rows


def _lately(file: FanFile, told: Iterable[tuple[str, Time]]) -> dict[str, list[Time]]:
    """By item, the times within a year of the newest, where that is news: one to a day."""
    times: dict[str, dict[date, Time]] = defaultdict(dict)
    for item, time in sorted(told):
        times[item].setdefault(time.day, time)
    found = {}
    for item, by_day in times.items():
        newest = max(by_day)
        if newest >= file.today - WITHIN:
            found[item] = [time for day, time in by_day.items() if day >= newest - WITHIN]
    return {item: each for item, each in found.items() if len(each) > 1}


def _repeat(
    file: FanFile, item: str, times: Sequence[Time], closed: Closed, *, is_renewal: bool
) -> str:
    months = months_over(times[0].day, times[-1].day)
    sentence = (
        _("{item}: replaced {times} within {span} ({days}).")
        if is_renewal
        else _("{item}: failed {times} within {span} ({days}).")
    )
    told = sentence.format(
        item=upper_first(words(ITEMS, item)),
        times=times_text(len(times)),
        span=ngettext("a month", "{months} months", months).format(months=months),
        days=", ".join(day_text(time.day) for time in times),
    )
    return " ".join(
        filter(None, [told, _beside(file, item, times), _cause(file, item, times, closed)])
    )


def _beside(file: FanFile, item: str, times: Sequence[Time]) -> str:
    """What else was found at fault each of these times, with its verdicts."""
    faults = [_faults(file, item, time) for time in times]
    common = [
        _("{what} ({verdicts})").format(
            what=_fault_name(subject),
            verdicts=", ".join(words(VERDICTS, each[subject]) for each in faults),
        )
        for subject in faults[0]
        if all(subject in each for each in faults)
    ]
    return _("Each time {faults}.").format(faults=_joined(common)) if common else ""


def _faults(file: FanFile, item: str, time: Time) -> Mapping[str, str]:
    """Subjects of other items found at fault on that visit, vibration of any point as one."""
    worst: dict[str, str] = {}
    for check in file.parts[Check].get(time.visit_id, ()):
        for subject, verdict in check.judged.items() if check.stage == "as_found" else ():
            name = "vibration" if subject.startswith("vibration") else subject
            is_other = item_of(subject) != item and subject != OF_ANY_FAILURE
            if is_other and verdict in AT_FAULT:
                worst[name] = max(verdict, worst.get(name, verdict), key=VERDICT_ORDER.__getitem__)
    return dict(sorted(worst.items(), key=lambda fault: (-VERDICT_ORDER[fault[1]], fault[0])))


def _fault_name(subject: str) -> str:
    if subject == "vibration":
        return _("the fan was shaking")
    return _("{subject} was not as it should be").format(subject=subject_words(subject))


def _joined(parts: Sequence[str]) -> str:
    *first, last = parts
    return _("{first} and {last}").format(first=", ".join(first), last=last) if first else last


def _cause(file: FanFile, item: str, times: Sequence[Time], closed: Closed) -> str:
    """Causes written down of that item since, and what its pattern was closed with.

    Nothing seen beside a failure is called its cause, nor that of one failure the cause of all.
    """
    told = [
        (file.visits[finding.visit_id].began_at, cause_text(finding.cause), finding.visit_id)
        for finding in _findings(file)
        if finding.item == item
        and is_known(finding.cause)
        and file.visits[finding.visit_id].local_on >= times[0].day
    ]
    causes = dict.fromkeys(cause for _at, cause, _visit in sorted(told))
    cause, found_on = closed.get(item_of(item), ("", date.min))
    is_closed = bool(cause) and found_on >= times[-1].day
    if is_closed:
        causes[cause_text(cause)] = None
    if not causes:
        return _("The cause is not determined; it should be found before the next part fails.")
    explained, visits = {visit for *_, visit in told}, {time.visit_id for time in times}
    if not is_closed and explained < visits:
        return _few_explained(len(explained), causes)
    return _("Cause as written down: {causes}.").format(causes=", ".join(causes))


def _few_explained(count: int, causes: Iterable[str]) -> str:
    return _(
        "Cause as written down for {count} of them: {causes}; that of the others is not determined."
    ).format(count=count, causes=", ".join(causes))


def _resets(file: FanFile) -> Iterator[str]:
    resets = [
        (event.ended_on, 1 if event.resets is None else event.resets)
        for event in file.events
        if event.kind == "breaker_reset" and not is_superseded(event)
    ]
    lately = [(day, count) for day, count in resets if day >= file.today - WITHIN]
    count = sum(count for _day, count in lately)
    if count:
        yield ngettext(
            "The breaker was reset once, on {first}. Do not reset it again until someone "
            "qualified has judged the circuit safe.",
            "{count} breaker resets since {first}, the last on {last}. Do not reset it again until "
            "someone qualified has judged the circuit safe.",
            count,
        ).format(count=count, first=day_text(min(lately)[0]), last=day_text(max(lately)[0]))
