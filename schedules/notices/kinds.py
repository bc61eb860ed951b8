"""Every kind of notice, by the question who is owed one now."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime

from schedules.notices.advice import advice_letters, link_letters
from schedules.notices.critical import critical_letters
from schedules.notices.day import day_letters
from schedules.notices.letter import Letter, Unreachable
from schedules.notices.made_safe import made_safe_letters
from schedules.notices.monday import monday_letters
from schedules.notices.no_access import no_access_letters
from schedules.notices.overdue import overdue_letters
from schedules.notices.summary import summary_letters
from schedules.notices.unanswered import unanswered_letters

KINDS: tuple[Callable[[datetime], Iterable[Letter | Unreachable]], ...] = (
    critical_letters,
    made_safe_letters,
    link_letters,
    day_letters,
    overdue_letters,
    no_access_letters,
    advice_letters,
    unanswered_letters,
    monday_letters,
    summary_letters,
)
"""What cannot wait stands first; of a roof without a way up the weekly letter tells, or its own."""
