"""Who may ask the API for what; rows are narrowed by each queryset's ``visible_to``.

What somebody may not see is not there: 404, by way of the queryset.  What they may see but not
change is refused with 403.
"""

from __future__ import annotations

from typing import Any

from rest_framework.permissions import SAFE_METHODS, BasePermission
from rest_framework.request import Request

PLANNERS = frozenset({"manager", "dispatcher"})
COMPANY = PLANNERS | {"technician"}
YOURS = {"technician": "A technician", "owner": "An owner's contact"}
"""Those who may not change everything."""


class ByRole(BasePermission):
    """Reading for all who are signed in; other methods for roles in the view's ``changed_by``."""

    message = ""

    def has_permission(self, request: Request, view: Any) -> bool:
        person = request.user
        if not person.is_authenticated:
            return False
        may = sorted(view.changed_by)
        self.message = f"{YOURS.get(person.role, '')} may look at this, but not change it; "
        self.message += f"ask one who may: {', '.join(may)}."
        return request.method in SAFE_METHODS or person.role in view.changed_by
