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


class ByRole(BasePermission):
    """Reading for all who are signed in; other methods for roles in the view's ``changed_by``."""

    message = "Your role may look at this, but not change it."

    def has_permission(self, request: Request, view: Any) -> bool:
        person = request.user
        if not person.is_authenticated:
            return False
        return request.method in SAFE_METHODS or person.role in view.changed_by
