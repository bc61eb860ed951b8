"""Who may ask the API for what; rows are narrowed by each queryset's ``visible_to``.

What somebody may not see is not there: 404, by way of the queryset.  What they may see but not
change is refused with 403.
"""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from rest_framework import status
from rest_framework.permissions import SAFE_METHODS, BasePermission
from rest_framework.request import Request

from config.api.problems import ProblemError

PLANNERS = frozenset({"manager", "dispatcher"})
COMPANY = PLANNERS | {"technician"}
LOOK_ONLY = {
    "technician": gettext_lazy(
        "A technician may look at this, but not change it; ask one who may: %(roles)s."
    ),
    "owner": gettext_lazy(
        "An owner's contact may look at this, but not change it; ask one who may: %(roles)s."
    ),
}
"""What those are told who may not change everything."""
ROLES = {
    "dispatcher": gettext_lazy("dispatcher"), "manager": gettext_lazy("manager"),
    "technician": gettext_lazy("technician"),
}  # fmt: skip


FOR_PERSON = "Round-Person"
"""Header by which a phone says in whose name it sends: the id of who logged it."""


def refuse_for_another(request: Request) -> None:
    """409 where what comes was logged by somebody else than whose session this is.

    On a shared phone another person may have signed in since, even between two requests.
    """
    meant = request.headers.get(FOR_PERSON, "")
    if meant and meant != str(request.user.pk):
        told = _("Somebody else is signed in than who logged this; nothing was stored.")
        raise ProblemError(status.HTTP_409_CONFLICT, "another_person", told)


class ByRole(BasePermission):
    """Reading for all who are signed in; other methods for roles in the view's ``changed_by``."""

    message = ""

    def has_permission(self, request: Request, view: Any) -> bool:
        person = request.user
        if not person.is_authenticated:
            return False
        may = sorted(view.changed_by)
        if request.method not in SAFE_METHODS:
            refuse_for_another(request)
        roles = ", ".join(str(ROLES[role]) for role in may)
        self.message = str(LOOK_ONLY.get(person.role, "")) % {"roles": roles}
        return request.method in SAFE_METHODS or person.role in view.changed_by
