"""What a letter says of an overdue fan to its owner: the stop, the reasons, the yes needed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from schedules.due.evidence import Note
from schedules.due.lines import DueLine
from schedules.engine import restart
from schedules.engine.codes import ACT
from schedules.wording.days import day_text
from schedules.wording.owners.rules import seen_by_owner, told_to_owner
from schedules.wording.owners.still import found_still_told
from visits.models import MadeSafe, NotReached
from visits.wording import REASONS, no_belt_text, owner_subject, words


@dataclass(frozen=True)
class FanTold:
    """``stop`` comes before all else, ``needs`` is what the owner must say; both may be empty."""

    stop: str
    reasons: list[str]
    needs: str


def fan_told(line: DueLine) -> FanTold:
    """The whole of it; nothing is said twice."""
    stop = _stop(line)
    said = dict.fromkeys(text for text in _reasons(line) if text and text != stop)
    doubt = [no_belt_text()] if _tells_no_belt(line) else []
    return FanTold(stop, [*said, *doubt], _needs(line))


def over_told(line: DueLine) -> str:
    """``overdue by 9 days``; empty where it is not."""
    if not line.days_over:
        return ""
    told = ngettext("overdue by {days} day", "overdue by {days} days", line.days_over)
    return told.format(days=line.days_over)


def _tells_no_belt(line: DueLine) -> bool:
    """Whether anything of it is about a belt, and the fan has none by the register."""
    rules = {told.rule for told in (line.driving, line.overdue_by, line.worst) if told}
    seen = [line.seen.get(rule) for rule in rules] + [line.stop.seen if line.stop else None]
    told = [each for each in seen if isinstance(each, Note)]
    return any(each.no_belt for each in told) or bool(line.still and line.still.no_belt)


def _stop(line: DueLine) -> str:
    if line.stop is None or line.stop.is_patched:
        return ""
    seen = seen_by_owner(line.stop.seen)
    if seen and any(told.rule == restart.number for told in line.dates):
        return _("{seen} The fan is out of service.").format(seen=seen)
    return told_to_owner(line.stop.told, line.stop.seen)


def _reasons(line: DueLine) -> Iterator[str]:
    """That it stands, what drives the day, what else is overdue or wrong, why nobody got there."""
    yield found_still_told(line)
    stop = line.stop.told if line.stop and line.must_stand else None
    for told in (line.driving, line.overdue_by):
        if told is not None and told != stop:
            yield told_to_owner(told, line.seen.get(told.rule))
    if line.stop and line.stop.is_patched:
        yield told_to_owner(line.stop.told, line.stop.seen)
    worst = line.worst
    if line.state.worst_verdict == ACT and worst and worst not in (line.driving, line.overdue_by):
        yield seen_by_owner(line.seen.get(worst.rule))
    if line.beyond and line.beyond.answer and line.beyond.is_agreed:
        day = day_text(line.beyond.answer.decided_on)
        yield _("You said yes to this visit on {day}.").format(day=day)
    if line.awaits_first:
        yield _("This was the day set for its first visit by us.")
    for row in line.not_reached:
        yield _not_reached(row)


def _not_reached(row: NotReached) -> str:
    return _("On {day} our technician could not check {what}: {reason}.").format(
        day=day_text(row.visit.local_on),
        what=owner_subject(row.item or "machine"),
        reason=words(REASONS, row.reason),
    )


def made_safe_told(row: MadeSafe) -> str:
    """A fan out of service: who was told, who holds the lock, what restarts it; no promise."""
    told = [_("Told on {day}: {who}.").format(day=day_text(row.visit.local_on), who=row.told)]
    if row.cook_line_stopped:
        told.append(_("Cooking under it was stopped."))
    elif row.cook_line_stopped is False:
        told.append(
            _("Cooking under it had not been stopped then: it has to stop while the fan is off.")
        )
    else:
        told.append(_("While it is off nothing may be cooked under its hood."))
    told.append(
        _("The lock is held by {who}. Nobody else may take it off.").format(who=row.lock_holder)
        if row.lock_holder
        else _("Nobody may switch it on, take off a lock or reset a breaker.")
    )
    if row.restarts_when:
        needed = row.restarts_when.rstrip(".")
        told.append(_("What it takes to run again: {needed}.").format(needed=needed))
    return " ".join(told)


def _needs(line: DueLine) -> str:
    """The yes that the visit takes, or that it was refused; empty where it is ours to make."""
    if line.beyond is None or line.beyond.is_agreed:
        return ""
    if line.beyond.answer:
        return _("You said no to one more visit on {day}; a yes is welcome at any time.").format(
            day=day_text(line.beyond.answer.decided_on)
        )
    return ngettext(
        "A visit there needs your yes: the one visit bought for the year from {day} is made. Say "
        "yes or no on your page.",
        "A visit there needs your yes: the {visits} visits bought for the year from {day} are "
        "made. Say yes or no on your page.",
        line.beyond.visits,
    ).format(visits=line.beyond.visits, day=day_text(line.beyond.year_on))
