"""Sites too far from every base to be meant: left out of the drawing, told with what to do."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import Any

import numpy as np
from django.urls import reverse
from django.utils.translation import gettext as _

from fleet.models import Person, Site
from schedules.engine.rounds.travel import great_circle_m
from schedules.pages.week.fixing import Place, in_register
from schedules.rounds.sheet import WeekSheet

FARTHEST_M = 300_000.0
"""Beyond that from the nearest base a coordinate is rather a slip than a site; our choice."""
Far = Mapping[Site, float]
"""Sites with how far the nearest base is [m]."""


def far_sites(sheet: WeekSheet, crew: Iterable[Person]) -> Far:
    """Sites of the week that are too far away; none where nobody has a base."""
    people = {*crew, *(row.technician for row in sheet.rounds)}
    bases = [each.working_week.position for each in people if hasattr(each, "working_week")]
    stops = (stop.site for row in sheet.rounds for stop in row.stops.all())
    sites = {site for site in (*stops, *(line.site for line in sheet.left_out)) if site.position}
    away = {site: _nearest_m(site, bases) for site in sites if bases}
    return {site: metres for site, metres in away.items() if metres > FARTHEST_M}


def _nearest_m(site: Site, bases: Collection[tuple[float, float]]) -> float:
    return float(np.min(great_circle_m(np.array(site.position), np.array(list(bases)))))


def far_texts(far: Far, reader: Any) -> Iterator[tuple[str, Place]]:
    """Each such site in a sentence, and where its coordinates are put right."""
    for site, metres in sorted(far.items(), key=lambda each: each[0].name):
        told = _("Not drawn, for it is {km} km from the nearest base by its coordinates: {site}.")
        url = reverse("admin:fleet_site_change", args=[site.pk])
        yield (
            told.format(km=f"{metres / 1000:.0f}", site=site.name),
            in_register(_("Correct its coordinates, or the base's"), reader, url),
        )
