"""Who may ask the API for what; rows are narrowed by each queryset's ``visible_to``.

What somebody may not see is not there: 404, by way of the queryset.  What they may see but not
change is refused with 403.
"""

from __future__ import annotations

from typing import Any

from rest_framework import status
from rest_framework.permissions import SAFE_METHODS, BasePermission
from rest_framework.request import Request

from config.api.problems import ProblemError

PLANNERS = frozenset({"manager", "dispatcher"})
COMPANY = PLANNERS | {"technician"}
YOURS = {"technician": "A technician", "owner": "An owner's contact"}
"""Those who may not change everything."""


FOR_PERSON = "Round-Person"
"""Header by which a phone says in whose name it sends: the id of who logged it."""


def refuse_for_another(request: Request) -> None:
    """409 where what comes was logged by somebody else than whose session this is.

    On a shared phone another person may have signed in since, even between two requests.
    """
    meant = request.headers.get(FOR_PERSON, "")
    if meant and meant != str(request.user.pk):
        told = "Somebody else is signed in than who logged this; nothing was stored."
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
        self.message = f"{YOURS.get(person.role, '')} may look at this, but not change it; "
        self.message += f"ask one who may: {', '.join(may)}."
        return request.method in SAFE_METHODS or person.role in view.changed_by
