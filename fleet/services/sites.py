"""Sites entered and corrected: address, zone, surroundings, the way up."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from fleet.models import Owner, Person, Site
from fleet.services.errors import refuse
from fleet.services.rows import edit, fill, keep

SITE_FIELDS = frozenset(f.name for f in Site._meta.concrete_fields) - {"id", "owner"}


def enter_site(*, owner: Owner, facts: Mapping[str, Any], by: Person | None, now: datetime) -> Site:
    """Take a site into the register.

    Raises RegisterError for a name that the owner's sites have already, a zone the machine does not
    know, or half a place on earth.
    """
    site = Site(owner=owner)
    _fill(site, facts)
    keep(site, by, now, "entered")
    return site


def edit_site(*, site: Site, facts: Mapping[str, Any], by: Person | None, now: datetime) -> Site:
    """Correct what is known of a site; raises RegisterError as ``enter_site``.

    In another zone its calendar is read in that from the start; visits keep the local day on which
    they were logged.
    """
    return edit(site, lambda row: _fill(row, facts), by, now)


def _fill(site: Site, facts: Mapping[str, Any]) -> bool:
    changed = fill(site, facts, SITE_FIELDS, "a site")
    if (site.latitude is None) != (site.longitude is None):
        missing = "latitude" if site.latitude is None else "longitude"
        raise refuse({missing: "one coordinate alone is no place; give both or neither"})
    return changed
