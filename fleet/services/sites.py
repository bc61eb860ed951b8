"""A site's time zone set right."""

from __future__ import annotations

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from fleet.models import Person, Site
from fleet.models.sites import validate_time_zone
from fleet.services.errors import refuse_invalid
from fleet.writing import save_told


@transaction.atomic
def move_site_zone(*, site: Site, time_zone: str, by: Person | None, now: datetime) -> Site:
    """Put a site into another time zone; its calendar is read in it from the start.

    Visits keep the local day on which they were logged.  Raises RegisterError for a zone the
    machine does not know.
    """
    try:
        validate_time_zone(time_zone)
    except ValidationError as error:
        raise refuse_invalid(error) from error
    locked = Site.objects.select_for_update().get(pk=site.pk)
    if locked.time_zone != time_zone:
        locked.time_zone = time_zone
        save_told(locked, by, now, f"zone {time_zone}")
    return locked
