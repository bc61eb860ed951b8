"""What drives a fan's next date, with the runners-up and what cannot be told."""

from __future__ import annotations

from dataclasses import dataclass, replace

from django.utils.translation import gettext as _

from schedules import wording
from schedules.engine import restart
from schedules.fan_page.gathering import FanFile, is_superseded
from schedules.fan_page.readings import without_name
from schedules.wording import Explained
from visits.models import MadeSafe


@dataclass(frozen=True)
class NextDate:
    """The second part of a fan's page; without any date only ``dateless`` says why."""

    day: str = ""
    distance: str = ""
    is_over: bool = False
    stop: str = ""
    lead: str = ""
    driving: Explained | None = None
    others: tuple[Explained, ...] = ()
    notes: tuple[str, ...] = ()
    untold: tuple[str, ...] = ()
    dateless: str = ""
    made_safe: str = ""
    worst_mark: str = ""
    worst_word: str = ""


def next_date(file: FanFile) -> NextDate:
    """Every rule's answer in words, the earliest first."""
    line = file.line
    if line is None:
        return NextDate(dateless=_("Not reckoned yet; dates come within minutes."))
    untold = tuple(wording.untold_sentence(code) for code in line.untold)
    if not line.dates:
        return NextDate(dateless=wording.dateless_text(line.state), untold=untold)
    first, *others = map(_beside_name, wording.explain_all(line.dates, line.seen))
    stopped = any(told.rule == restart.number for told in line.dates)
    return NextDate(
        day=wording.day_text(line.state.due_on) if line.state.due_on else "",
        distance=wording.distance_text(line),
        is_over=line.days_over > 0,
        stop=wording.stop_text(line),
        lead="" if first.reason.startswith(first.name) else first.name,
        driving=first,
        others=tuple(others),
        notes=tuple(wording.notes_of(line)),
        untold=untold,
        made_safe=_made_safe(file) if stopped else "",
        worst_mark=wording.verdict_code(line.state).replace("_", "-"),
        worst_word=wording.verdict_text(line.state),
    )


def _beside_name(told: Explained) -> Explained:
    return replace(told, reason=without_name(told.reason, told.name))


def _made_safe(file: FanFile) -> str:
    """Who was told, who holds the lock and what restarts the fan, of the newest such record."""
    rows = [
        (file.visits[visit_id].began_at, row)
        for visit_id, made in file.parts[MadeSafe].items()
        if not is_superseded(file.visits[visit_id])
        for row in made
    ]
    return made_safe_text(max(rows, key=lambda each: (each[0], each[1].pk))[1]) if rows else ""


def made_safe_text(row: MadeSafe) -> str:
    """A fan taken out of service, in a few sentences."""
    told = [_("Made safe; told: {who}.").format(who=row.told)]
    if row.lock_holder:
        told.append(_("{who} holds the lock.").format(who=row.lock_holder))
    if row.cook_line_stopped:
        told.append(_("The cook line under it stopped."))
    elif row.cook_line_stopped is False:
        told.append(_("The cook line under it was not stopped."))
    if row.restarts_when:
        told.append(_("It runs again when {when}.").format(when=row.restarts_when.rstrip(".")))
    if row.promised_on:
        told.append(_("Promised for {day}.").format(day=wording.day_text(row.promised_on)))
    return " ".join(told)
