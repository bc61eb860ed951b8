"""Visits dated so long before anything else that their year may be mistyped: asked about."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from datetime import date, timedelta
from uuid import UUID

from visits.models import Visit

LONG_AGO = timedelta(days=1826)
"""Five years, as long as a silence that no fan is held to be watched over; our choice."""


def note_long_ago(
    new: Sequence[Visit], line_of: Callable[[UUID], int], today: date
) -> Iterator[str]:
    """A note for each visit of a file so long before the next one to its site, or before today."""
    by_site: dict[int, list[Visit]] = defaultdict(list)
    for visit in sorted(new, key=lambda visit: visit.local_on):
        by_site[visit.site_id].append(visit)
    for visits in by_site.values():
        days = [*(visit.local_on for visit in visits[1:]), today]
        for visit, until in zip(visits, days, strict=True):
            if until - visit.local_on > LONG_AGO:
                yield _note(line_of(visit.pk), visit, until)


def _note(line: int, visit: Visit, until: date) -> str:
    years = (until - visit.local_on).days // 365
    return (
        f"line {line}: this visit is dated {visit.local_on}, {years} years before the next to its "
        "site in this file, or before today; if the year is mistyped, correct it. Its fans count "
        "as watched only from where regular visits begin, one that failed then from that day"
    )
