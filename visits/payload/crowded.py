"""More rows of one fan than a visit can have: a slip which every later visit pays for."""

from __future__ import annotations

from collections import Counter

from django.utils.translation import gettext as _

from visits.payload.entries import VisitEntry
from visits.payload.fields import Fields

MOST_OF_FAN = 100
"""Our choice: nearly twice as many as there are items and subjects of a fan."""
PARTS = ("findings", "actions", "recommendations", "decisions", "not_reached", "made_safe")


def refuse_crowded(fields: Fields, visit: VisitEntry) -> None:
    """Complain of each fan that one part of the visit names more often than that."""
    for part in PARTS:
        tags = [entry.fan for entry in getattr(visit, part)]
        first = {tag.casefold(): tag for tag in reversed(tags) if tag}
        for tag, count in Counter(map(str.casefold, tags)).items():
            if tag and count > MOST_OF_FAN:
                told = {"key": part, "count": count, "fan": first[tag]}
                problem = _("%(key)s has %(count)s entries of %(fan)s") % told
                remedy = _("at most %(most)s of one fan fit; tell each thing once")
                fields.complain(part, problem, None, remedy % {"most": MOST_OF_FAN})
