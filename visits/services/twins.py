"""Visits of a file that look like one on record under other content: noted, since both count."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from uuid import UUID

from visits.models import Visit
from visits.services.stored import chunked

Key = tuple[int, object, int | None, str, object]


def note_twins(new: Sequence[Visit], line_of: Callable[[UUID], int]) -> Iterator[str]:
    """A note for each new visit with the site, minute, kind and person of another that stands.

    The new ones may be stored already, or only be about to.  Of two in one file the later line is
    told.
    """
    lines = {visit.pk: line_of(visit.pk) for visit in new}
    corrected = {visit.supersedes_id for visit in new}
    standing = Visit.objects.standing().select_related("site")
    alike: dict[Key, list[Visit]] = defaultdict(list)
    for moments in chunked({visit.began_at for visit in new}):
        for visit in standing.filter(began_at__in=moments):
            if visit.pk not in corrected and visit.pk not in lines:
                alike[_key(visit)].append(visit)
    for visit in sorted(new, key=lambda visit: lines[visit.pk]):
        if visit.pk in corrected:
            continue
        if others := alike[_key(visit)]:
            yield _note(lines[visit.pk], others[0])
        others.append(visit)


def _key(visit: Visit) -> Key:
    person = visit.technician_id or visit.technician_name.casefold()
    return visit.site_id, visit.began_at, visit.local_minute, visit.kind, person


def _note(line: int, other: Visit) -> str:
    minute, when = other.local_minute, f"{other.local_on}"
    if minute is not None:
        when += f" {minute // 60:02}:{minute % 60:02}"
    return (
        f"line {line}: {other.site.name}, {when}: another visit of this kind by the same person "
        f"is on record with other content, and both count; if this one corrects it, give it "
        f'"supersedes": "{other.pk}" and a "correction_reason"'
    )
