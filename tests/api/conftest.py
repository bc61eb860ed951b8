"""What tests of the API share: a visit on record."""

from __future__ import annotations

from typing import Any

import pytest

from fleet.models import Person
from tests.api.photos import visited
from tests.people import Roofs


@pytest.fixture
def visit(roofs: Roofs, theo: Person) -> dict[str, Any]:
    """Theo's walk-through at the bakery."""
    return visited(roofs.bakery, theo)
