"""Reads what is told beside a photo: its id, what it shows, when it was taken."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from django.utils.translation import gettext as _

from visits.payload.complaints import Complaints, PayloadError
from visits.payload.fields import Fields
from visits.payload.moments import Moment
from visits.payload.visit import ABOUT

NO_ID = UUID(int=0)


@dataclass(frozen=True, slots=True)
class PhotoEntry:
    """A photo's words as sent; empty where nothing was said."""

    id: UUID
    fan: str = ""
    finding: UUID | None = None
    subject: str = ""
    caption: str = ""
    taken: Moment | None = None


def read_photo(told: Mapping[str, str]) -> PhotoEntry:
    """The words beside a photo; PayloadError with every complaint."""
    complaints = Complaints()
    fields = Fields(dict(told), "", complaints)
    entry = PhotoEntry(
        id=fields.own_id(must=True) or NO_ID,
        fan=fields.text("fan", longest=40),
        finding=fields.identity("finding"),
        subject=fields.choice("subject", ABOUT),
        caption=fields.text("caption"),
        taken=fields.moment("taken_at"),
    )
    if entry.subject and not entry.fan and not entry.finding:
        problem = _("whose it is, is not said")
        fields.complain("fan", problem, None, _("give the fan's tag"))
    fields.close()
    if complaints:
        raise PayloadError(complaints)
    return entry
