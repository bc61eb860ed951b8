"""The Monday list in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.models import Person
from schedules import wording
from schedules.due.lines import DueLine
from schedules.engine.codes import STOP
from schedules.notices.letter import LetterWords, drawn, fan_name, one_line
from schedules.notices.monday.changes import Changes, Moved
from schedules.notices.monday.week import Counts, NotReached, WeekAhead
from schedules.notices.refusals import Refused


@dataclass(frozen=True)
class LineWords:
    """One fan: where, since when, why, and whether anybody goes."""

    name: str
    link: str
    where: str
    when: str
    why: str
    booked: str


@dataclass(frozen=True)
class SectionWords:
    """Fans under a heading; ``more`` says what is left out, ``link`` leads to all of them."""

    heading: str
    lines: list[LineWords]
    more: str
    link: str


def monday_words(week: WeekAhead, reader: Person) -> LetterWords:
    """The list of one week, the same for all but their name."""
    counts = week.counts
    context: dict[str, Any] = {
        "name": one_line(reader.first_name or reader.username),
        "counts": list(_counts(week, counts)),
        "sections": [section for section in _sections(week, counts) if section.lines],
        "since": wording.day_text(week.since_on),
        "changes": list(_changes(week.changes, counts)),
        "unreached": list(_unreached(week.not_reached)),
        "page": settings.PUBLIC_URL + reverse("due_list"),
        "notices": settings.PUBLIC_URL + reverse("notice_list"),
    }
    return drawn("monday", _subject(week, counts), context)


def _subject(week: WeekAhead, counts: Counts) -> str:
    number = week.local.isocalendar().week
    told = [
        ngettext("{count} stop", "{count} stops", counts.stops).format(count=counts.stops)
        if counts.stops
        else "",
        _("{count} overdue").format(count=counts.overdue) if counts.overdue else "",
        _("{count} due").format(count=counts.due) if counts.due else "",
    ]
    what = ", ".join(filter(None, told)) or _("nothing overdue or due")
    return _("Week {number}: {what}").format(number=number, what=what)


def _counts(week: WeekAhead, counts: Counts) -> Iterator[str]:
    if counts.stops:
        yield ngettext(
            "{count} fan stands at a stop.", "{count} fans stand at a stop.", counts.stops
        ).format(count=counts.stops)
    if counts.overdue:
        yield _("Overdue: {fans}, {new} of them since {day}.").format(
            fans=counts.overdue,
            new=counts.newly_overdue,
            day=wording.day_text(week.since_on),
        )
        yield _("Sites with overdue fans: {sites}; with a visit booked: {booked}.").format(
            sites=counts.sites, booked=counts.booked_sites
        )
    else:
        yield _("Nothing is overdue.")
    yield _("Due now or within a week: {count}.").format(count=counts.due)
    if counts.first:
        yield _("First visits to new fans within a week, on the due list: {count}.").format(
            count=counts.first
        )


def _sections(week: WeekAhead, counts: Counts) -> Iterator[SectionWords]:
    told = {name: [_line(line) for line in lines] for name, lines in week.lines.items()}
    yield _section(_("Stops first"), told["stops"], counts.stops, f"?verdict={STOP}")
    late, soon = told["overdue"], told["due"]
    yield _section(_("Overdue, earliest day first"), late, counts.late, "?overdue=on")
    yield _section(_("Due now or within a week"), soon, counts.soon, "?within=7")


def _section(heading: str, lines: list[LineWords], count: int, query: str) -> SectionWords:
    left = count - len(lines)
    more = ngettext("and {count} more", "and {count} more", left).format(count=left)
    link = settings.PUBLIC_URL + reverse("due_list") + query
    return SectionWords(heading, lines, more if left > 0 else "", link)


def _line(line: DueLine) -> LineWords:
    state = line.state
    stop = wording.stop_text(line) or (wording.reason_text(line) if line.stop else "")
    return LineWords(
        name=fan_name(state.fan),
        link=settings.PUBLIC_URL + reverse("fan_page", args=[state.fan_id]),
        where=f"{one_line(state.site.name)}, {one_line(state.owner.name)}",
        when=f"{wording.due_text(line)} ({wording.distance_text(line)})",
        why=stop or wording.driver_text(line),
        booked=_("booked {when}").format(when=wording.booked_text(line.booked))
        if line.booked
        else _("not booked"),
    )


def _changes(changes: Changes, counts: Counts) -> Iterator[tuple[str, list[str]]]:
    """Each kind of change with its count, and some of the fans by name."""
    yield _("Newly overdue: {count}.").format(count=counts.newly_overdue), []
    earlier = _("Moved earlier: {count}.").format(count=changes.earlier)
    yield earlier, list(_named(changes.earlier, changes.named_earlier))
    yield _("Moved later: {count}.").format(count=changes.later), []
    back = _("Was late and is done: {count}.").format(count=changes.back)
    yield back, list(_named(changes.back, changes.named_back))


def _named(count: int, moved: Sequence[Moved]) -> Iterator[str]:
    for each in moved:
        yield _("{fan}, {site}: {after} instead of {before} ({rule})").format(
            fan=one_line(each.fan.tag),
            site=one_line(each.fan.site.name),
            after=wording.day_text(each.after),
            before=wording.day_text(each.before),
            rule=wording.rule_name(each.rule) if each.rule else "",
        )
    if count > len(moved):
        yield _("and {count} more").format(count=count - len(moved))


def _unreached(told: NotReached) -> Iterator[str]:
    for name in told.without_address:
        yield _("{owner} has overdue fans and no email address.").format(owner=one_line(name))
    for each in told.refused:
        yield _refused(each)
    for name in told.left:
        yield _("{owner} has unsubscribed from the weekly email about overdue fans.").format(
            owner=one_line(name)
        )
    if told.more:
        yield _("{count} more are on the page of notices.").format(count=told.more)


def _refused(each: Refused) -> str:
    names = ", ".join(map(one_line, each.names)) or _("nobody in the register")
    call = _("; call {phones}").format(phones=", ".join(each.phones)) if each.phones else ""
    return _("{address} ({names}) takes no email since {day}{call}.").format(
        address=each.address, names=names, day=wording.day_text(each.since.date()), call=call
    )
