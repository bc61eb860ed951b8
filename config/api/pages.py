"""The API's own page, from files of ours alone, and the answer where no address is."""

from __future__ import annotations

from typing import Any

from csp.constants import UNSAFE_INLINE
from csp.decorators import csp_update
from django.utils.decorators import method_decorator
from drf_spectacular.views import SpectacularJSONAPIView, SpectacularSwaggerSplitView
from rest_framework.exceptions import NotFound
from rest_framework.request import Request
from rest_framework.views import APIView


class SchemaView(SpectacularJSONAPIView):
    """OpenAPI 3.1; open to all, since it tells nothing of anybody."""

    permission_classes: list[Any] = []
    authentication_classes: list[Any] = []


# The page's own pictures are written into it, and its script writes styles.
LOOSER = {"img-src": ["data:"], "style-src": [UNSAFE_INLINE]}


@method_decorator(csp_update(LOOSER), name="dispatch")
class ApiPage(SpectacularSwaggerSplitView):
    """The schema for reading and trying."""

    permission_classes: list[Any] = []
    authentication_classes: list[Any] = []
    url_name, template_name = "api_schema", "api/page.html"


class NowhereView(APIView):
    """An address that the API does not have."""

    permission_classes: list[Any] = []
    schema = None

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        """Whatever is asked: there is nothing."""
        raise NotFound
