"""The weekly summary in words: counts, then the few that matter by name."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from operator import attrgetter
from typing import Any

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.models import Fan, Person
from schedules import wording
from schedules.done.parameters import DEFAULT_DONE
from schedules.due.advised import Failed
from schedules.notices.letter import LetterWords, drawn, one_line
from schedules.notices.no_access.words import MOST_DAYS
from schedules.notices.summary.found import NewFinding
from schedules.notices.summary.week import MOST_NAMED, WeekPast
from schedules.wording.done import days_list, figures_text
from visits.models import Decision, NotReached
from visits.wording import ANSWERS, FAILURE_MODES, ITEMS, REASONS, VERDICTS, subject_words, words


@dataclass(frozen=True)
class PartWords:
    """A heading, what was counted, some of it by name."""

    heading: str
    told: list[str]
    named: list[str]


def summary_words(week: WeekPast, reader: Person) -> LetterWords:
    """The summary of one week, the same for all but their name."""
    number = week.first.isocalendar().week
    subject = _("Week {number}: {walks}, {stops}, {failures}").format(
        number=number,
        walks=ngettext("{count} walk-through", "{count} walk-throughs", week.walks.visits).format(
            count=week.walks.visits
        ),
        stops=ngettext("{count} new stop", "{count} new stops", _stops(week)).format(
            count=_stops(week)
        ),
        failures=ngettext("{count} failure", "{count} failures", len(week.failures)).format(
            count=len(week.failures)
        ),
    )
    context: dict[str, Any] = {
        "name": one_line(reader.first_name or reader.username),
        "span": _("{first} to {last}").format(
            first=wording.day_text(week.first), last=wording.day_text(week.last)
        ),
        "parts": [_done(week), _missed(week), *_shut(week), _found(week), _failures(week),
                  _decided(week), _letters(week)],
        "page": settings.PUBLIC_URL + reverse("due_list"),
    }  # fmt: skip
    return drawn("summary", subject, context)


def _stops(week: WeekPast) -> int:
    """Fans at which a stop was found that was not there before."""
    return len({each.fan.pk for each in week.found if each.verdict == "stop"})


def _done(week: WeekPast) -> PartWords:
    walks, booked = week.walks, week.booked
    told = [_("Walk-throughs made: {count}.").format(count=walks.visits)]
    if walks.visits:
        told.append(
            _("Fans walked by their due day: {in_time}; after it: {late}.").format(
                in_time=walks.in_time, late=walks.late
            )
        )
    if walks.unknown:
        told.append(
            _("Of {count} more the log names no due day before the walk.").format(
                count=walks.unknown
            )
        )
    if booked.booked:
        told.append(
            _(
                "Visits booked: {booked}; with a visit on record at the site that day: {made}."
            ).format(booked=booked.booked, made=booked.made)
        )
    if week.promises.planned:
        told.append(_("Planned in published rounds: {told}.").format(
            told=figures_text(week.promises)
        ))  # fmt: skip
    return PartWords(_("Done"), told, [])


def _missed(week: WeekPast) -> PartWords:
    rows = week.not_reached
    reasons = Counter(row.reason for row in rows)
    told = [f"{words(REASONS, reason)}: {count}." for reason, count in reasons.most_common()]
    named = [_missed_text(row) for row in rows[:MOST_NAMED]]
    return PartWords(_("Not reached"), told or [_("Nothing.")], _with_rest(named, len(rows)))


def _shut(week: WeekPast) -> Iterator[PartWords]:
    """Roofs without a way up, whose owners are told; nothing where there is none."""
    rows = week.no_way_up
    if not rows:
        return
    named = [
        _("{site}, {owner}: {fans}, {days}").format(
            site=one_line(each.site.name), owner=one_line(each.site.owner.name),
            fans=", ".join(map(one_line, each.tags)), days=days_list(each.days[-MOST_DAYS:]),
        )
        for each in rows[:MOST_NAMED]
    ]  # fmt: skip
    told = _("Roofs that we could not get onto {times} times in a row or more: {count}.").format(
        times=DEFAULT_DONE.no_access_in_a_row, count=len(rows)
    )
    yield PartWords(_("No way up"), [told], _with_rest(named, len(rows)))


def _missed_text(row: NotReached) -> str:
    what = words(ITEMS, row.item) if row.item else _("the fan")
    note = one_line(row.note)
    reason = words(REASONS, row.reason)
    return f"{_fan(row.fan)}: {what}, {reason}" + (f" ({note})" if note else "")


def _found(week: WeekPast) -> PartWords:
    """By fan, those with a stop first."""
    by_fan: dict[Fan, list[NewFinding]] = {}
    for each in week.found:
        by_fan.setdefault(each.fan, []).append(each)
    told = _("Fans with a new stop: {stops}; with something else new to act on: {acts}.").format(
        stops=_stops(week), acts=len(by_fan) - _stops(week)
    )
    named = [_found_text(fan, new) for fan, new in list(by_fan.items())[:MOST_NAMED]]
    return PartWords(_("Found"), [told], _with_rest(named, len(by_fan)))


def _found_text(fan: Fan, new: Sequence[NewFinding]) -> str:
    """``EF-1, Mill Kitchen, Tue 24 Nov 2026: stop: phases; act: current, noise``."""
    told = [
        f"{words(VERDICTS, verdict)}: {', '.join(subject_words(each.subject) for each in group)}"
        for verdict, group in groupby(new, key=attrgetter("verdict"))
    ]
    days = ", ".join(dict.fromkeys(wording.day_text(each.on) for each in new))
    return f"{_fan(fan)}, {days}: {'; '.join(told)}"


def _failures(week: WeekPast) -> PartWords:
    rows = week.failures
    after = [each for each in rows if each.advice]
    told = [
        _("Losses of function: {count}; after advice declined, put off or not answered: {after}.")
        .format(count=len(rows), after=len(after))
    ]  # fmt: skip
    if after:
        told.append(_("That one followed the other does not show that it caused it."))
    ordered = sorted(rows, key=lambda each: each.advice is None)
    named = [_failed_text(each) for each in ordered[:MOST_NAMED]]
    return PartWords(_("Failures"), told, _with_rest(named, len(rows)))


def _failed_text(each: Failed) -> str:
    finding = each.finding
    what = [words(ITEMS, finding.item), words(FAILURE_MODES, finding.failure_mode)]
    on = wording.day_text(finding.failed_on or finding.visit.local_on)
    told = f"{_fan(finding.fan)}: {', '.join(filter(None, what))}, {on}."
    if each.advice is None:
        return told
    advice = _("Advised {day}: {text}").format(
        day=wording.day_text(each.advice.visit.local_on), text=one_line(each.advice.text)
    )
    answer = _("no answer")
    if each.answer is not None:
        answer = f"{words(ANSWERS, each.answer.answer)}, {wording.day_text(each.answer.decided_on)}"
    return f"{told} {advice.rstrip('.')}; {answer}."


def _decided(week: WeekPast) -> PartWords:
    rows = week.decisions
    counted = Counter(row.answer for row in rows)
    told = [f"{words(ANSWERS, answer)}: {count}." for answer, count in counted.most_common()]
    named = [_decision_text(row) for row in rows[:MOST_NAMED]]
    return PartWords(_("Answers"), told or [_("None came.")], _with_rest(named, len(rows)))


def _decision_text(row: Decision) -> str:
    who = one_line(row.decided_by) or one_line(row.fan.site.owner.name)
    told = f"{_fan(row.fan)}: {subject_words(row.subject)}, {words(ANSWERS, row.answer)}, {who}"
    if row.not_before:
        told += _(", not before {day}").format(day=wording.day_text(row.not_before))
    return told


def _letters(week: WeekPast) -> PartWords:
    letters = week.letters
    told = [_("Emails sent: {sent}; given up: {failed}.").format(
        sent=letters.sent, failed=letters.given_up
    )]  # fmt: skip
    named = [f"{each.reader}, {each.address}: {each.fault}" for each in letters.named]
    return PartWords(_("Emails"), told, _with_rest(named, letters.given_up))


def _with_rest(named: list[str], count: int) -> list[str]:
    left = count - len(named)
    return [*named, _("and {count} more").format(count=left)] if left > 0 else named


def _fan(fan: Fan) -> str:
    return f"{one_line(fan.tag)}, {one_line(fan.site.name)}"
