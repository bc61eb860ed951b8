"""Every kind of notice, by the question who is owed one now."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime

from schedules.notices.letter import Letter, Unreachable
from schedules.notices.overdue import overdue_letters

KINDS: tuple[Callable[[datetime], Iterable[Letter | Unreachable]], ...] = (overdue_letters,)
