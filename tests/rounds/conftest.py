"""Roofs that tests of a week plan for."""

from __future__ import annotations

import pytest

from fleet.models import Fan
from tests.rounds.weeks import due_fan


@pytest.fixture
def fans(db: None) -> list[Fan]:
    return [due_fan(number) for number in (1, 2, 3)]
