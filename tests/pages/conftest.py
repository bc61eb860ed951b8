"""What tests of pages share: a fan on a roof."""

from __future__ import annotations

import pytest

from fleet.models import Fan
from tests.visits.roofs import make_roof


@pytest.fixture
def fan(db: None) -> Fan:
    """EF-1 on Olga's roof at Quay Street, beside EF-2."""
    make_roof()
    return Fan.objects.get(tag="EF-1")
