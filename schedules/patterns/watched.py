"""Since when each fan is under watch, by the visits to its site."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from datetime import date
from typing import Any

import numpy as np
from django.db.models import Max, Min
from django.db.models.functions import ExtractYear

from schedules.engine.series import Ints
from schedules.engine.watching import LONGEST_SILENCE_DAYS, watch_begins
from visits.losses import AT_ONCE
from visits.models import Visit
from visits.services.stored import chunked


def first_visit_rows() -> Any:
    """Every site with the day of its first visit on record."""
    visited = Visit.objects.standing().order_by()
    return visited.values_list("site_id").annotate(Min("local_on"))


def watched_since(fans: Sequence[tuple[int, int, date]], first_visits: Mapping[int, date]) -> Ints:
    """Days [ordinal] from which fans, each with site and day of entry, are under watch.

    No statement unless a site was first visited long before a fan of it was entered.
    """
    first = {site: on.toordinal() for site, on in first_visits.items()}
    seen = _visited({
        site
        for _, site, on in fans
        if site in first and on.toordinal() - first[site] > LONGEST_SILENCE_DAYS
    })  # fmt: skip
    days = [
        watch_begins(on.toordinal(), seen.get(site, [first[site]] if site in first else ()))
        for _, site, on in fans
    ]
    return np.array(days, np.int64)


def _visited(sites: Collection[int]) -> Mapping[int, list[int]]:
    """By site, the first and last day of each year in which it was visited: silences show."""
    days: dict[int, list[int]] = defaultdict(list)
    for part in chunked(sites, AT_ONCE):
        rows = Visit.objects.standing().filter(site__in=part).order_by()
        by_year = rows.annotate(year=ExtractYear("local_on")).values_list("site_id", "year")
        for site, _year, first, last in by_year.annotate(Min("local_on"), Max("local_on")):
            days[site] += [first.toordinal(), last.toordinal()]
    return days
